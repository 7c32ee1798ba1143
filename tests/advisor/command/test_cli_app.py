"""The pages are started for this machine only, and a missing part is named in one line."""

from __future__ import annotations

import importlib.util
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from importlib.machinery import ModuleSpec
from pathlib import Path

import pytest

from advisor.command import app
from tests.advisor.command.command_line import refusal, run, run_json, run_process

needs_streamlit = pytest.mark.skipif(
    importlib.util.find_spec("streamlit") is None, reason="the pages need Streamlit"
)


def option(command: list[str], name: str) -> str:
    return command[command.index(name) + 1]


@needs_streamlit
def test_how_the_pages_start_is_said_without_starting_them() -> None:
    answer = run_json("app", "--port", "8777")
    assert answer["url"] == "http://127.0.0.1:8777"
    command = answer["command"]
    assert command[:3] == [sys.executable, "-m", "ui.serve"]
    assert option(command, "--server.address") == "127.0.0.1"
    assert option(command, "--server.port") == "8777"
    assert option(command, "--browser.gatherUsageStats") == "false"


@needs_streamlit
def test_the_pages_are_found_without_loading_them() -> None:
    code = (
        "import atexit, sys; from advisor.cli import main; sys.argv[1:] = ['app', '--json']; "
        "atexit.register(lambda: print({'ui', 'streamlit'} & set(sys.modules))); main()"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-1] == "set()"


@needs_streamlit
def test_the_shop_and_the_exit_code_are_handed_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: dict[str, str] = {}

    def called(command: list[str], *, env: dict[str, str]) -> int:
        seen.update(env)
        return 7

    monkeypatch.setattr(subprocess, "call", called)
    result = run("--shop", tmp_path, "app")
    assert result.exit_code == 7
    assert result.stderr.startswith("http://127.0.0.1:8501")
    assert seen["PRESSLORE_SHOP"] == str(tmp_path)
    assert seen["PATH"] == os.environ["PATH"]


def test_a_missing_streamlit_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app, "find_spec", lambda name: None)
    assert "pip install streamlit" in refusal(run("app"))


def test_missing_pages_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def found(name: str) -> ModuleSpec | None:
        spec = ModuleSpec(name, None)
        spec.submodule_search_locations = [str(tmp_path)]
        return spec

    monkeypatch.setattr(app, "find_spec", found)
    assert "ui/serve.py" in refusal(run("app"))


def test_a_port_that_no_page_can_have_is_refused() -> None:
    assert "1024" in refusal(run_process("app", "--port", "80"))


@pytest.mark.slow
@needs_streamlit
def test_the_pages_really_answer_on_this_machine_and_stop_when_told() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    process = subprocess.Popen(
        [sys.executable, "-c", "from advisor.cli import main; main()", "app", "--port", str(port)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        assert answered(f"http://127.0.0.1:{port}/", within_s=60) == 200
    finally:
        os.killpg(process.pid, signal.SIGINT)
        code = process.wait(timeout=60)
    assert code in {0, 130}


def answered(url: str, *, within_s: float) -> int:
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(url, timeout=5) as answer:
                return int(answer.status)
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.2)
    return 0

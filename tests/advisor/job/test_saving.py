"""Saving: a file is whole or as it was, whatever happens while it is written."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from advisor.job.saving import refuse_unwritable, save_file
from rules.errors import BadInputError


def test_what_is_saved_is_what_is_read(tmp_path: Path) -> None:
    for content in ("", "a\nb", "°C – µm", "x" * 200_000, b"\x00\xff\r\n"):
        save_file(tmp_path / "file", content)
        expected = content.encode() if isinstance(content, str) else content
        assert (tmp_path / "file").read_bytes() == expected
    assert os.listdir(tmp_path) == ["file"]


@pytest.mark.parametrize("fails", ["fsync", "replace", "write"])
def test_a_failure_midway_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    path = tmp_path / "plan.json"
    save_file(path, "old")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        if fails == "replace":
            patched.setattr(Path, "replace", full)
        elif fails == "fsync":
            patched.setattr(os, "fsync", full)
        else:
            patched.setattr(os, "fdopen", lambda descriptor, _: _Full(descriptor))
        with pytest.raises(BadInputError) as error:
            save_file(path, "new" * 100_000)
    assert str(error.value) == f"{path}: cannot be written: no space left on device"
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["plan.json"]


class _Full:
    """A file on a disk that is full."""

    def __init__(self, descriptor: int) -> None:
        self.descriptor = descriptor

    def __enter__(self) -> _Full:
        return self

    def __exit__(self, *_: object) -> None:
        os.close(self.descriptor)

    def write(self, _: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


def test_an_interrupt_midway_leaves_the_old_file_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "plan.json"
    save_file(path, "old")

    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        save_file(path, "new")
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["plan.json"]


def test_a_disk_that_is_really_full_leaves_the_old_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    save_file(path, "old")
    code = (
        "import resource, signal, sys; from pathlib import Path; from advisor.job.saving import *; "
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000)); "
        "save_file(Path(sys.argv[1]), 'n' * 5000)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=False
    )
    assert "BadInputError" in ran.stderr
    assert "file too large" in ran.stderr
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["plan.json"]


def test_whoever_reads_meanwhile_sees_one_version_whole(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    versions = ["a" * 300_000, "b" * 400_000]
    save_file(path, versions[0])
    stop, seen = threading.Event(), set()

    def read() -> None:
        while not stop.is_set():
            seen.add(path.read_text())

    reader = threading.Thread(target=read)
    reader.start()
    for n in range(20):
        save_file(path, versions[n % 2])
    stop.set()
    reader.join()
    assert seen <= set(versions)


def test_a_file_keeps_its_permissions_and_a_new_one_gets_the_usual(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    before = os.umask(0o027)
    try:
        save_file(path, "x")
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    path.chmod(0o600)
    save_file(path, "y")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old")
    (tmp_path / "link").symlink_to("real")
    save_file(tmp_path / "link", "new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_text() == "new"


def test_a_pipe_or_device_is_written_to_and_stays(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    seen: list[bytes] = []
    reader = threading.Thread(target=lambda: seen.append(pipe.read_bytes()))
    reader.start()
    save_file(pipe, "plan")
    reader.join()
    assert seen == [b"plan"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("no/such/plan.json", "there is no folder"),
        ("", "it is a folder"),
        ("plan.json/x", "there is no folder"),
        ("n" * 300, "file name too long"),
    ],
)
def test_what_cannot_be_written_is_refused_before_and_while_writing(
    tmp_path: Path, name: str, why: str
) -> None:
    (tmp_path / "plan.json").write_text("old")
    for refused in (refuse_unwritable, lambda path: save_file(path, "new")):
        with pytest.raises(BadInputError, match=why):
            refused(tmp_path / name)
    assert (tmp_path / "plan.json").read_text() == "old"


def test_a_folder_closed_to_us_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Whoever runs as root may write anywhere, so the answer of the system is played here.
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != tmp_path)
    with pytest.raises(BadInputError, match="no permission"):
        refuse_unwritable(tmp_path / "plan.json")

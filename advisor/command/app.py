"""Command app: starts the pages in the browser, on this machine only."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import click

from advisor.command import options
from rules.errors import PressloreError

__all__ = ["command"]

ADDRESS = "127.0.0.1"


@click.command("app")
@click.option(
    "--port", type=click.IntRange(1024, 65535), default=8501, show_default=True, help="Which port."
)
@click.option(
    "--json",
    "as_json",
    is_flag=True,
    help="Print how the pages would be started as JSON, and do not start them.",
)
@options.shop
@click.pass_context
def command(ctx: click.Context, port: int, as_json: bool) -> None:
    """Open Presslore's pages in the browser. They are served to this machine only."""
    _refuse_if_missing()
    started = [
        sys.executable, "-m", "ui.serve",
        "--server.address", ADDRESS,
        "--server.port", str(port),
        "--server.showEmailPrompt", "false",
        "--browser.gatherUsageStats", "false",
    ]  # fmt: skip
    url = f"http://{ADDRESS}:{port}"
    if as_json:
        options.show_json({"url": url, "command": started})
        return
    environment = dict(os.environ)
    store = options.shop_store()
    if store is not None:
        environment["PRESSLORE_STORE"] = str(store.resolve())
    folders = options.shop_folders()
    if folders:
        environment["PRESSLORE_SHOP"] = os.pathsep.join(str(f.resolve()) for f in folders)
    click.echo(f"{url} (Ctrl-C stops it)", err=True)
    sys.stderr.flush()
    ctx.exit(subprocess.call(started, env=environment))


def _refuse_if_missing() -> None:
    """Say so now if Streamlit or the pages are not installed; neither is imported here."""
    if find_spec("streamlit") is None:
        raise PressloreError("the pages need Streamlit: pip install streamlit, then try again")
    package = find_spec("ui")
    folders = (package.submodule_search_locations if package is not None else None) or ()
    if not any((Path(folder) / "serve.py").is_file() for folder in folders):
        raise PressloreError("the pages (ui/serve.py) are missing from this installation")

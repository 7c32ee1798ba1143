"""Door of the command line: so small that Ctrl-C is caught from the first instant."""

import signal
from types import FrameType

__all__ = ["main"]


def main() -> None:
    """Run the command line on this process's arguments."""
    signal.signal(signal.SIGINT, _stop)
    try:
        # Only here: to load it takes longer than it takes to think better of it.
        from advisor.cli import main as command_line

        command_line()
    except KeyboardInterrupt:
        _say_stopped()


def _stop(_: int, frame: FrameType | None) -> None:
    """Ctrl-C; a library that it meets as it is loaded would tell it as a fault of its own."""
    while frame is not None:
        if frame.f_globals.get("__name__") == "importlib._bootstrap":
            _say_stopped()
        frame = frame.f_back
    raise KeyboardInterrupt


def _say_stopped() -> None:
    import os

    os.write(2, b"presslore: stopped\n")
    os._exit(130)


if __name__ == "__main__":
    main()

"""Door of the command line: so small that Ctrl-C is caught from the first instant."""

__all__ = ["main"]


def main() -> None:
    """Run the command line on this process's arguments."""
    try:
        # Only here: to load it takes longer than it takes to think better of it.
        from advisor.cli import main as command_line

        command_line()
    except KeyboardInterrupt:
        import os

        os.write(2, b"presslore: stopped\n")
        os._exit(130)


if __name__ == "__main__":
    main()

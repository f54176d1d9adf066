"""The command as a process of its own: `anthocard`, and `python -m anthocard`."""

import sys

STOPPED = 130  # as cli.STOPPED, which is not imported yet: 128 and SIGINT, as shells count


def program() -> int:
    """Import the command line and run it; Ctrl-C while it is still imported has nothing to undo."""
    try:
        from anthocard import cli

        return cli.program()
    except KeyboardInterrupt:
        return STOPPED


if __name__ == "__main__":
    sys.exit(program())

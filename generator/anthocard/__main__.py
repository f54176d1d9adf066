"""The command as a process of its own: `anthocard`, and `python -m anthocard`."""

import sys

from anthocard.guard.stopping import heed_ctrl_c, was_stopped

STOPPED = 130  # as cli.STOPPED, which is not imported yet: 128 and SIGINT, as shells count


def program() -> int:
    """Import the command line and run it; Ctrl-C while it is still imported has nothing to undo."""
    heed_ctrl_c()
    try:
        from anthocard import cli

        return cli.program()
    except KeyboardInterrupt:
        return STOPPED
    except Exception:
        if was_stopped():
            return STOPPED
        raise


if __name__ == "__main__":
    sys.exit(program())

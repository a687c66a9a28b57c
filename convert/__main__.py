"""Run the command line: as ``combweave``, or as ``python -m convert``."""

import os
import sys


def main() -> None:
    """Load the command line and run it; an interrupt while it loads is told as one later on."""
    try:
        from convert.cli.app import main as run
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        sys.stderr.flush()
        os._exit(130)
    run()


if __name__ == "__main__":
    main()

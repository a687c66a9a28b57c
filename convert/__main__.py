"""Run the command line: as ``combweave``, or as ``python -m convert``."""

import os
import sys
import warnings


def main() -> None:
    """Load the command line and run it; an interrupt while it loads is told as one later on."""
    try:
        from convert.cli.app import main as run
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        sys.stderr.flush()
        os._exit(130)
    if "--verbose" not in sys.argv and not sys.warnoptions:
        # They speak to programmers; the tests, which come in elsewhere, hear them as errors.
        warnings.simplefilter("ignore")
    run()


if __name__ == "__main__":
    main()

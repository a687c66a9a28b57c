"""Run the command line: as ``combweave``, or as ``python -m convert``."""

import sys
import warnings

from convert.unfinished import end_on_signals


def main() -> None:
    """Load the command line and run it; an interrupt while it loads is told as one later on."""
    end_on_signals()
    from convert.cli.app import main as run

    if "--verbose" not in sys.argv and not sys.warnoptions:
        # They speak to programmers; the tests, which come in elsewhere, hear them as errors.
        warnings.simplefilter("ignore")
    run()


if __name__ == "__main__":
    main()

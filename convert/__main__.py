"""Run the command line: as ``combweave``, or as ``python -m convert``."""

from convert.unfinished import end_on_signals


def main() -> None:
    """Load the command line and run it; an interrupt while it loads is told as one later on."""
    end_on_signals()
    from convert.cli.app import main as run

    run()


if __name__ == "__main__":
    main()

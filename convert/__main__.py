"""Run the command line as ``python -m convert``."""

from convert.cli.app import main

if __name__ == "__main__":
    main()

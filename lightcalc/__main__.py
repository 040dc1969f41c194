"""The command line as `python -m lightcalc`."""

from lightcalc.screens.cli import main

if __name__ == "__main__":
    main()

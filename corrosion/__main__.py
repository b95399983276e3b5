"""``python -m corrosion``: the command line."""

from corrosion.presentation.terminal.cli import main

if __name__ == "__main__":
    main()

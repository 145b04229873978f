"""``python -m briefgen``."""

from briefgen.cli import main

if __name__ == "__main__":
    main()

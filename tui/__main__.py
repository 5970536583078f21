"""`python -m tui`: the same as `inbreath`."""

from tui.command import main

if __name__ == "__main__":
    main()

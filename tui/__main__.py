"""`python -m tui`, and the command `inbreath`."""

import sys


def main() -> None:
    """Run the command.

    Worker processes import the main module again: it must cost nothing until it is run.
    """
    try:
        from tui.command import main as run
    except KeyboardInterrupt:
        # Before anything has begun.
        sys.stderr.write("Stopped.\n")
        raise SystemExit(130) from None
    run()


if __name__ == "__main__":
    main()

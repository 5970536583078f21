"""`python -m tui`, and the command `inbreath`."""


def main() -> None:
    """Run the command.

    Worker processes import the main module again: it must cost nothing until it is run.
    """
    from tui.command import main as run

    run()


if __name__ == "__main__":
    main()

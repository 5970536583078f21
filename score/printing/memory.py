"""Memory that a long piece took, given back."""

LARGE = 2_000_000
"""Letters of a document from which on it is worth the time."""


def give_back() -> None:
    """Hand freed memory back to the system, where its library keeps it for the process otherwise."""
    import ctypes

    try:
        ctypes.CDLL("libc.so.6").malloc_trim(0)
    except (OSError, AttributeError):
        return  # other systems do it by themselves

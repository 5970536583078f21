"""Playing by heart: passages that are nearly the same, and questions that only a listener can answer."""

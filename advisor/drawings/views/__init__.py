"""One module a view: through the casing, along the liner, how to measure."""

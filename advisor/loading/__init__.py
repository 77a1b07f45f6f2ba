"""YAML text to model; every problem with file, line and column."""

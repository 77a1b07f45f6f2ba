"""The program's own version."""

__version__ = "0.2.0"

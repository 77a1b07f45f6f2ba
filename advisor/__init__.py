"""Decides whether a damaged tire may be repaired, by which method, or is scrap."""

__version__ = "0.2.0"

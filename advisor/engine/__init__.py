"""Judges a case by a rule set: pure, the same answer for the same case every time."""

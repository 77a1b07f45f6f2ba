"""Understands what is typed and says what has to be said; knows no screen."""

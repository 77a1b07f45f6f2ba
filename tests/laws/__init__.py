"""Tests that hold the program's judgements against the outside."""

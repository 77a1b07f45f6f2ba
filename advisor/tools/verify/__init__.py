"""Checks that prove something over all cases of a rule set, one a module, and what they share (`workbench.py`)."""

"""Derived facts: what is worked out from answers before a condition looks at it. `registry.py` lists them all."""

"""Derived facts: what is worked out from answers before a condition looks at it. `registry.py` lists them all.

A function takes the facts of one part of a case (the tire, an injury, an earlier repair) and limits by name. Its
docstring says under Reads which questions and derived facts it looks at itself, by their ids; under Figures the limits
by the names that values.yaml hands them in with; and what comes out. None: not known yet, or not to be told; what was
read leaves it open. NOT_APPLICABLE: without meaning in this case, which is no doubt. Measures may be ranges. Sources of
formulas and tables stand in `advisor.domain`, those of figures in the rule set.
"""

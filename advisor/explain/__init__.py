"""Why, why not, what if, how sure: explanations of a decision, computed from it and from cases near it.

May import `wording` and rows below. Read `why.py` first.
"""

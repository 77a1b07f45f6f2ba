"""The trade: sidewall prints, DOT codes, the geometry of an injury, air, cement. Knows no rule set and no limit.

May import `model`. Read `intervals.py` first: every figure may be a range, and arithmetic keeps it one.
"""

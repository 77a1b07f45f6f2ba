"""For who edits rules: checks, comparison of two editions, coverage, examples. Nothing here runs in a consultation.

May import `loader` and rows below. Read `checks.py` first: it lists every check.
"""

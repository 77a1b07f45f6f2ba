"""Judges a case by a rule set: facts, conditions, the way through the graph, rulings, methods, the decision.

May import `domain` and `model`; no clock, no file, no network. Read `evaluator.py` first.
"""

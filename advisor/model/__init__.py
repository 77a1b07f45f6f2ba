"""The data that everything speaks in: rule set, graph, limits, case, quantities, problems. No behaviour but their own.

Imports nothing of the program but itself. Read `case.py` first, then `ruleset.py`.
"""

"""The trade: sidewall prints, DOT codes, the geometry of an injury, air, cement. Knows no rule set and no limit.

May import `model`. Read `intervals.py` first: every figure may be a range, and arithmetic keeps it one.

Docstrings follow numpydoc. Behind the colon of a parameter stand its quantity, sign and range; a `Measure` may come in
any unit of its quantity and may be a range, unless a unit is named. References name the published source of a formula
or table, or that there is none. Examples run in the suite, after
`from advisor.model.quantity import between, exactly`; `...` stands for whatever comes there.
"""

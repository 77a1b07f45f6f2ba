"""What a sentence says: tokens, tagged clauses, scope of denials and doubt, filled slots, one reading a question.

May import `loader` and rows below. Read `pipeline.py` first. What was not said outright: `negation_scope.py` (no cord),
`hedge_scope.py` (hedges, hearsay, questions), `qualifiers.py` (no cord, just a bit of wire; 5 mm, opens to 12).
"""

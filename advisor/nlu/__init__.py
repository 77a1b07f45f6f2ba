"""What a sentence says: tokens, tagged clauses, scope of denials and doubt, filled slots, one reading a question.

May import `loader` and rows below. Read `pipeline.py` first; `scope.py` says what was not said outright.
"""

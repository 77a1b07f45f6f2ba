"""Practice on made-up tires: the learner looks, decides first, and is then held against the rules.

May import `explain`, `journal` and `tools` and rows below. Read `job.py` first: the state that a face carries on.
"""

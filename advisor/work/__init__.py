"""The repair's progress: steps done, times, and the record of the work.

May import `wording` and rows below. Read `progress.py` first.
"""

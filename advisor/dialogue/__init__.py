"""A consultation: its state, what a typed line does to it, and what is said back. Knows no face and no journal.

May import `explain`, `work`, `wording`, `nlu` and rows below. Read `holder.py`, `answering.py`, `session.py` first,
then `talk_commands.py`.
"""

"""Plain lines: the consultation in a pipe or for a screen reader, and what commands print.

May import `dialogue` and rows below. Read `session_lines.py` first, then `runner.py`.
"""

"""The report and the question graph as pages: HTML and SVG.

May import `dialogue` and rows below. Read `html.py` first.
"""

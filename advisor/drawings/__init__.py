"""Drawings of a case as data, and as SVG or terminal signs; which answers bring which drawing.

May import `engine`, `domain`, `model`. Read `scene.py` first: what a drawing is made of.
"""

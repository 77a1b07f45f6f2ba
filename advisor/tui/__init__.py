"""The screen: Textual apps, screens and widgets over a consultation.

May import `dialogue` and rows below; the only room that knows Textual. Read `app.py` first.
"""

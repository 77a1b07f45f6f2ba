"""What is said in words: messages, the verdict card, conditions read out.

May import `loader` and rows below. Read `messages.py` first.
"""

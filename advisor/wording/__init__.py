"""What is said in words: messages in blocks, the verdict card, why it is so, conditions read out.

May import `loader` and rows below. Read `messages.py` first.
"""

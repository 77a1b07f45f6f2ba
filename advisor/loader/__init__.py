"""From YAML, JSON and CSV text to the model: rule sets, cases, answers; every problem with file, line and column.

May import `engine`, `domain`, `model`. Read `ruleset_loader.py` first; `answer_codec.py` reads every answer.
"""

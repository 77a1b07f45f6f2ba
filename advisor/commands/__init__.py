"""One module a command: reads its arguments, calls the rooms below, prints, and gives the exit code.

May import everything. Read `decide.py` first; `options.py` reads the words of the command line.
"""

#: What can be typed after `advisor`; each is a module here. Without one it is the consultation.
COMMANDS = (
    "ask",
    "casings",
    "check",
    "compare",
    "decide",
    "draw",
    "hear",
    "new",
    "replay",
    "report",
    "schemas",
    "sidewall",
    "sources",
    "words",
)

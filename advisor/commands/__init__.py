"""One module for each command; part of the command line's layer."""

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

"""One module a command: `declare` says its options, `run` calls the rooms below, prints, and gives the exit code.

May import everything. Read `decide.py` first; `command_parser.py` is what options are declared on.
"""

from __future__ import annotations

import os
import sys

#: What can be typed after `advisor`, each a module here: its words, and what it does. Without one: the consultation.
COMMANDS = {
    "decide": ("CASE...", "judge cases from files; - reads standard input"),
    "walk": ("CASE...", "the consultation that a case would give: each prompt, and after which one it is settled"),
    "draw": ("CASE|RULES", "the drawings of a case, or a rule set's question graph; in the terminal or as SVG"),
    "serve": ("", "the consultation in a browser, on a tablet in the van or the shop"),
    "practise": ("[FILE...]", "made-up tires to decide first; then the rules answer, and what was learned is kept"),
    "report": ("CASE|RECORD", "the report, as text or as a page to print"),
    "replay": ("FILE...", "play demo transcripts and show what changed"),
    "today": ("[NUMBER]", "today's tires: drying, unfinished, restricted; with a number goes on with that one"),
    "casings": ("[WORD...]", "recorded consultations: find, show, verify, export, import, merge"),
    "check": ("[RULES]", "look for problems in a rule set, all at once"),
    "compare": ("OLD NEW", "what a new edition changes for cases, by meaning and not line by line"),
    "new": (
        "FOLDER",
        "begin rules of your own, for a country or on top of others: a small folder that loads as it is",
    ),
    "schemas": ("RULES", "JSON Schemas of its files, for editors that complete and underline"),
    "sources": ("", "every limit with its source and standing; what rests on memory or common practice first"),
    "hear": ('"SENTENCE"', "what a sentence says, as a case"),
    "ask": ('CASE "QUESTION"', "why, why not, what if, how sure, for a case"),
    "sidewall": ('"TEXT"', "what a sidewall's print and a date code tell, and what they leave open"),
    "words": ("[TERM...]", "the trade's terms explained; without a term, all of them"),
}


def full_terminal() -> bool:
    """Whether standard input and output are a terminal that can take a full screen."""
    ends = (sys.stdin, sys.stdout, sys.stderr)
    return all(end.isatty() for end in ends) and os.environ.get("TERM", "") not in ("", "dumb")

"""The small words of English, read once from `small_words.txt`: lists of words, and patterns.

They are the grammar that keeps a doubt a doubt, so no rule set can loosen them; a language writes its own words onto
them by `spellings` of phrases.yaml.
"""

from __future__ import annotations

import re
from pathlib import Path

_FILE = Path(__file__).with_name("small_words.txt")
_PART = re.compile(r"<([a-z-]+)>")


def _read() -> dict[str, list[str]]:
    """The lines of each entry by its name; those set in go on with it."""
    found: dict[str, list[str]] = {}
    for line in _FILE.read_text(encoding="utf-8").splitlines():
        name, _, text = line.partition(": ")
        if line[:1].isspace():
            next(reversed(found.values())).append(line.strip())
        elif not line.startswith("#"):
            found[name] = [text]
    return found


_ENTRIES = _read()


def said_words(name: str) -> frozenset[str]:
    """The words of a list; a line between two of them joins what is one."""
    return frozenset(word.replace("_", " ") for word in " ".join(_ENTRIES[name]).split())


def said_pattern(name: str, flags: re.RegexFlag = re.NOFLAG) -> re.Pattern[str]:
    """A pattern made ready; `<name>` in it is another entry, of a list any of its words."""
    return re.compile(_PART.sub(lambda part: _text(part[1]), _text(name)), flags)


def _text(name: str) -> str:
    text = "".join(_ENTRIES[name])
    return text if "|" in text else "|".join(" ".join(_ENTRIES[name]).split())

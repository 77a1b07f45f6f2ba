"""Whether a line is a question by its form, whatever it asks: an answer never looks like that.

The forms are the grammar of English questions, not words of a rule set; what is asked is found by intents.yaml.
"""

from __future__ import annotations

import re

from advisor.nlu.small_words import said_pattern

_ASKS = said_pattern("question", re.IGNORECASE)
_TELLS = said_pattern("no-question", re.IGNORECASE)


def asks_in_a_clause(line: str) -> bool:
    """Whether a line ends in a question, with something told ahead of it."""
    return line.rstrip().endswith("?") and any(
        asks_by_form(each) for each in re.split(r"[,.;:!?]\s+|\s+-+\s+", line.strip())
    )


def asks_by_form(line: str) -> bool:
    """Whether a line asks something: by its first words, or by the question mark behind several."""
    if _TELLS.match(line) and not line.rstrip().endswith("?"):
        return False
    return bool(_ASKS.match(line))


#: Where one part of what is asked ends and another begins.
_PART = re.compile(
    r"(?<=[a-z\d])\s*[?.;!]\s+|\s*,\s+(?:and |but |so )?|\s+-+\s+"
    r"|\s+(?:and|so|but)\s+(?=(?:how|what|whats|what's|why|which|who|where|is|are|does|do|can|could|should|may)\b)",
    re.IGNORECASE,
)
_SUPPOSES = re.compile(r"(?:(?:and|so|but|ok|okay|well) )*(?:if|say|suppose|supposing|what if|imagine|even if)\b", re.I)


_REQUESTS = re.compile(
    r"(?:(?:and|so|but|ok|okay|well|please|then|now) )*(?:walk|talk|take|lead|run|tell|show|explain|give|remind|guide)"
    r" (?:me|us|this|that|it)\b",
    re.I,
)


def supposes_first(line: str) -> bool:
    """Whether a line begins by supposing something."""
    return bool(_SUPPOSES.match(line))


def asking_parts(line: str) -> list[str]:
    """The parts of a line that ask something by themselves; none of one that supposes something first."""
    if _SUPPOSES.match(line):
        return []
    parts = [part for part in _PART.split(line) if part]
    return [part for part in parts if asks_by_form(part) or requests(part)] if len(parts) > 1 else []


def requests(line: str) -> bool:
    """Whether a line asks to be told or shown something: walk me through the cementing."""
    return bool(_REQUESTS.match(line))

"""Whether a line is a question by its form, whatever it asks: an answer never looks like that.

The forms are the grammar of English questions, not words of a rule set; what is asked is found by intents.yaml.
"""

from __future__ import annotations

import re

_LEAD = r"\s*(?:(?:and|so|but|ok|okay|well|then|wait|hey|um|right|mate)[, ]+)*"
_ASKS = re.compile(
    _LEAD + r"(?:(?:why|how|who|whos|who's|whose|which|what|whats|what's|hows|how's|how'd|wheres|where's|wot)\b"
    r"|(?:when|where)\s+(?:do|does|did|can|could|should|will|would|is|are|may|must|exactly)\b"
    r"|(?:is|are|am|was|were|isn't|isnt|aren't|ain't|aint)\s+(?:it|that|this|there|they|i|we|you|he|she|these|those|my)\b"
    r"|is\s+(?:the|a|an|any|\d[\d./]*)\b"
    r"|(?:can|could|may|might|should|shall|must|would|will|do|does|did|have|has|don't|doesn't|can't|couldn't|shouldn't|cant)\s+"
    r"(?:i|we|you|it|they|he|she|this|that|the|a|an|my|somebody|someone|anybody|anyone|people|these|those|u)\b"
    r"|says who\b|show me\b|tell me\b|explain\b|define\b|draw (?:it|me|that|this)\b|walk me through\b|remind me\b"
    r"|supposing\b|suppose\b|what if\b|and if\b|least change\b|any (?:point|chance|way|risk|danger|reason|law)\b)",
    re.IGNORECASE,
)
#: Begins like one, but tells something or is a choice's words.
_TELLS = re.compile(
    r"\s*(?:(?:has|have|had|do not|does not) (?:the|a|an)\b|what (?:i|we) (?:see|saw|found|have|got|read)\b"
    r"|which (?:is|was|are)\b|who knows\b|can(?:no|')?t (?:i |we )?(?:tell|see|say)\b|have (?:i|we|you|it) )",
    re.IGNORECASE,
)


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


def asking_parts(line: str) -> list[str]:
    """The parts of a line that ask something by themselves; none of one that supposes something first."""
    if _SUPPOSES.match(line):
        return []
    parts = [part for part in _PART.split(line) if part]
    return [part for part in parts if asks_by_form(part)] if len(parts) > 1 else []

"""A bare figure behind pressures or a print and ahead of an injury with a figure of its own is the tread's, perhaps.

It is proposed, and no width: `33 found, 5 mm, cut in the sidewall 30 mm`.
"""

from __future__ import annotations

import re

from msgspec.structs import replace

from advisor.dialogue.prompt_line import parts_of
from advisor.dialogue.proposed_answers import OF_TREAD
from advisor.domain.sidewall.parser import read_sidewall
from advisor.loader.answer_codec import written
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Key, Readings
from advisor.model.problems import Misread
from advisor.model.quantity import read_measure
from advisor.nlu.pipeline import Listener
from advisor.nlu.result import Heard, Understood

_LENGTH = r"(?<![\w./])\d+(?:[.,]\d+)?(?:/\d+)?\s*(?:mm|in|inch|\")(?!\w)"
_BARE = re.compile(rf"{_LENGTH}\s*", re.I)
_HAS_LENGTH = re.compile(_LENGTH, re.I)
#: Thirty-seconds that are so all across: of a tread, and no width.
_ALL_ACROSS = re.compile(r"(?<![\w/.])(?P<figure>\d+(?:\.\d+)?/32)\s+all (?:the way )?across\b", re.I)
#: What there should be, said short: supposed 33.
_SUPPOSED = re.compile(r"\bsupposed(?=\s+\d)", re.I)
#: A part that says no more than that the tire is off.
_ITS_OFF = re.compile(r"(?:(?<=^)|(?<=[,;]))(?P<blank>\s*)it'?s off(?=\s*(?:[,;]|$))", re.I)
#: What a figure right behind is no injury's.
_AHEAD = (inputs.SET_PRESSURE, inputs.FOUND_PRESSURE, inputs.SIDEWALL, inputs.LOAD_RANGE)


def in_full(text: str) -> str:
    """A line with what people say short said in full: supposed to be 33, it is off."""
    return _ITS_OFF.sub(r"\g<blank>it is off", _SUPPOSED.sub("supposed to be", text))


def heard_with_tread(listener: Listener, text: str, case: Case, asked: Key | None) -> Heard:
    """What a sentence says, a bare figure that may be the tread's proposed as that."""
    text = _ALL_ACROSS.sub(r"\g<figure>", text)
    heard, rules = listener.hear(text, case, asked), listener.rules
    tread = (rules.question_now(inputs.TREAD_DEPTH), TIRE)
    if heard.injuries < 1 or case.injuries or case.get("tire", tread) is not None:
        return heard
    parts = parts_of(text)
    places = [place for place, part in enumerate(parts) if _BARE.fullmatch(part)]
    if len(places) != 1 or not places[0] or not any(map(_HAS_LENGTH.search, parts[places[0] + 1 :])):
        return heard
    place, ahead = places[0], listener.hear(", ".join(parts[: places[0]]), case, asked)
    rest = listener.hear(", ".join((*parts[:place], *parts[place + 1 :])), case, asked)
    told = {one.key for one in (*rest.understood, *rest.proposed)} | {ask.key for ask in rest.asks_back}
    if ahead.injuries or tread in told or not _follows(ahead, parts[place - 1], listener):
        return heard
    return _proposed(rest, tread, parts[place], text)


def _follows(ahead: Heard, part: str, listener: Listener) -> bool:
    """Whether a part, the last of what was heard so far, tells a pressure or is of a print."""
    if read_sidewall(part).tells:
        return True
    told = [each for each in (*ahead.understood, *ahead.proposed) if part in each.words or each.words in part]
    return any(listener.rules.input_of(each.key[0]) in _AHEAD for each in told)


def _proposed(rest: Heard, tread: Key, part: str, text: str) -> Heard:
    try:
        depth = Readings((read_measure(re.sub(r"(?<=\d)(?=[a-z])", " ", part), "length"),))
    except Misread:
        return rest
    one = Understood(tread, "tire", depth, written(depth), part, hedge=f"{part}{OF_TREAD}")
    return replace(rest, text=text, proposed=(one, *rest.proposed))

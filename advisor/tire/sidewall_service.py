"""The service description in a sidewall's print: load index, single and dual, and speed symbol.

Source: order and meaning of the marks from UN R54 (single/dual, then the symbol; published, read in copies);
brackets for open-ended Y from UN R30 (second-hand). The text is what sizes and words have left over.
"""

from __future__ import annotations

import re

from advisor.quick import dataclass
from advisor.tire.load_index import HIGHEST
from advisor.tire.sidewall_size import READ

_FULL = re.compile(
    r"(?<![A-Z0-9./-])(?P<open>\(?) ?(?P<single>\d{2,3})(?: ?[/-] ?(?P<dual>\d{2,3}))?"
    r" ?(?P<symbol>A[1-8]|\( ?Y ?\)|[B-HJ-NP-WY])(?![A-Z0-9+&]|\.[A-Z])\)?",
    re.ASCII,
)
_PAIR = re.compile(r"(?<![A-Z0-9./-])(?P<single>\d{2,3}) ?/ ?(?P<dual>\d{2,3})(?![A-Z0-9/.])", re.ASCII)
_ALONE = re.compile(r"\| *(?P<single>\d{2,3}) *(?=\||$)", re.ASCII)
#: A second service description, set apart in brackets (on the tire: in a circle), after the one that counts.
_SECOND = re.compile(r"(?<=[0-9A-Z]) ?\( ?(\d{2,3}(?: ?/ ?\d{2,3})? ?[B-HJ-NP-WY]) ?\)", re.ASCII)
_NO_SLASH = re.compile(
    r"(?<![A-Z0-9./-])(?:(\d{2,3}) (?=(\d{2,3}) ?[B-HJ-NP-WY](?![A-Z0-9+&]))"
    r"|(1\d\d)(?=(1\d\d) ?[B-HJ-NP-WY](?![A-Z0-9+&])))",
    re.ASCII,
)
#: Two numbers with no slash are taken for a pair when the second is at most this much lower.
_PAIR_SPAN = 8
#: A number below this (106 kg) is taken for something else that was printed.
_LOWEST_READ = 30


@dataclass(frozen=True, slots=True)
class Service:
    """A service description: load index of one tire alone, of one in a dual pair, and speed symbol."""

    single: int | None = None
    dual: int | None = None
    symbol: str | None = None


def find_service(text: str, alone_too: bool) -> tuple[Service, str]:
    """The service description, and the text without it. `alone_too`: a bare number next to the size counts.

    Two that differ tell nothing, so both stay in the text. Nothing is raised.
    """
    text = _NO_SLASH.sub(_with_slash, text)
    second = _SECOND.search(text) if text.count("(") == 1 else None
    if second and _FULL.search(text[: second.start()]) and "Y" not in second[1]:
        known, rest = find_service(text[: second.start()] + text[second.end() :], alone_too)
        return known, f"{rest} ({second[1]})"
    for pattern in (_FULL, _PAIR, _ALONE) if alone_too else (_FULL, _PAIR):
        found = {service for match in pattern.finditer(text) if (service := _service(match)) is not None}
        if len(found) == 1:
            return found.pop(), pattern.sub(lambda match: READ if _service(match) else match[0], text)
        if found:
            break
    return Service(), text


def _service(match: re.Match[str]) -> Service | None:
    groups = match.groupdict()
    single, dual, symbol = int(groups["single"]), groups.get("dual"), groups.get("symbol")
    if not _LOWEST_READ <= single <= HIGHEST or (dual and not _LOWEST_READ <= int(dual) <= single):
        return None
    if symbol and "Y" in symbol:
        symbol = "(Y)" if "(" in symbol or groups["open"] else "Y"
    return Service(single, int(dual) if dual else None, symbol)


def _with_slash(match: re.Match[str]) -> str:
    single, dual = match[1] or match[3], match[2] or match[4]
    return f"{single}/" if int(single) - _PAIR_SPAN <= int(dual) <= int(single) else match[0]

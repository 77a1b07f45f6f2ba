"""Endings whose words, or the sides that they take in `speaks`, belie their verdict.

A repair speaks for air, repair and road, never against them; any other verdict speaks for none of the three, and a
scrap against repair. What the headline, what to do now, the driver's texts and the lines that cautions put first
say outright (Repair it. It can be driven on. It has to be replaced.) is held against that; a sentence with a denial or
a condition says nothing outright.

belies-verdict (error): a text of an ending that speaks for or against what its verdict does not.
Why it is bad: the sign says SCRAP and the line below says to drive on; which of the two is read is chance.
PASS:
  endings.yaml: {scrap-hole/do-now: [Do not repair it., Put it with the scrap.]}
FAIL:
  endings.yaml: {scrap-hole/do-now: [Repair it., The driver can drive on.]}
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from advisor.model.problems import Place, Problem
from advisor.model.ruleset import Ending, RuleSet, Verdict

FOR, AGAINST = "for", "against"
_TIRE = r"(?:it|the t[iy]re|this t[iy]re|such a t[iy]re|them|the hole|the injury)"
_MAY = r"(?:can|may|could|is to|has to|must|should)"
#: What says outright that something is done, by topic.
_SAYS_FOR = {
    "repair": re.compile(
        rf"^(?:repair|mend|patch|plug) {_TIRE}\b|\b{_MAY} be (?:repaired|mended|patched|plugged)\b"
        r"|\ballows? (?:a|the|this) repair\b|\b(?:a|the) repair is allowed\b|\bis (?:repairable|fit for repair)\b",
        re.I,
    ),
    "road": re.compile(
        rf"^(?:drive|run|ride|keep driving|go) on\b|^(?:fit|mount|use|keep using) {_TIRE}(?: again)?\b"
        rf"|^(?:return|put|give) {_TIRE} (?:back )?(?:to|in|into|on) (?:service|use|the road|the vehicle)\b"
        rf"|\b{_MAY} (?:drive|go|run|stay|remain|be driven|be used|be fitted|be put|return)"
        r" (?:on|back|again|in service|in use|on the road|to service|to the road)\b"
        r"|\bis (?:safe|good|fit) (?:to drive|to use|for the road|for service)\b",
        re.I,
    ),
    "air": re.compile(
        rf"^(?:re)?(?:inflate|fill|top up) {_TIRE}\b|\b{_MAY} be (?:re)?(?:inflated|filled|topped up)\b"
        rf"|^(?:put|give) (?:{_TIRE} )?(?:more |some )?air\b|\b{_MAY} take air\b",
        re.I,
    ),
}
#: What says outright that the tire's life is over: only a scrap does.
_SAYS_OVER = re.compile(
    rf"^scrap {_TIRE}\b|\bis scrap\b|\bwith the scrap\b|\b(?:has|have) to be (?:replaced|scrapped)\b"
    r"|\b(?:must|is to) be (?:replaced|scrapped)\b|\bnobody (?:fits|uses) it again\b|\bmark it as scrap\b",
    re.I,
)
#: What says outright that it is not repaired: no repair does.
_SAYS_NOT = re.compile(
    r"^do not (?:repair|mend)\b|\b(?:can ?not|can't|may not|must not) be (?:repaired|mended)\b", re.I
)
#: Words that make a sentence say nothing outright.
_ON_CONDITION = re.compile(r"\b(?:any|if|whether|unless|until|before|once|than|perhaps)\b", re.I)
_OPEN = re.compile(
    rf"{_ON_CONDITION.pattern}|\b(?:no|not|never|nobody|nothing|none|without|cannot|can't|only"
    r"|someone|somebody|shop|shops|specialist|retreader|decides?|may be able)\b",
    re.I,
)
#: By verdict the sides that it can take on each of the three topics.
_SIDES: Mapping[Verdict, Mapping[str, tuple[str, ...]]] = {
    Verdict.REPAIR: dict.fromkeys(_SAYS_FOR, (FOR,)),
    Verdict.REFER: dict.fromkeys(_SAYS_FOR, (AGAINST, "neither")),
    Verdict.HOLD: dict.fromkeys(_SAYS_FOR, (AGAINST, "neither")),
    Verdict.SCRAP: {**dict.fromkeys(_SAYS_FOR, (AGAINST, "neither")), "repair": (AGAINST,)},
}


def check(rules: RuleSet) -> Iterator[Problem]:
    """Endings, and lines that cautions put ahead of theirs, that say something else than the verdict."""
    for ending in rules.endings.values():
        place = rules.place_of("endings.yaml", ending.id)
        for wrong in (*_sides_not_taken(ending), *_said(_texts(ending), ending.verdict, ending.speaks)):
            yield _problem(f"the ending {ending.id}", wrong, ending.verdict, place)
    for caution in rules.cautions.values():
        for name, line in caution.do_now.items():
            verdict = Verdict[name.upper()]
            for wrong in _said((line,), verdict, {}):
                what = f"what the caution {caution.id} has done first"
                yield _problem(what, wrong, verdict, rules.place_of("cautions.yaml", caution.id))


def _problem(what: str, wrong: str, verdict: Verdict, place: Place) -> Problem:
    return Problem(
        "belies-verdict",
        place,
        f"{what}, which {wrong}, where the verdict is {verdict}",
        f"texts and sides that go with {verdict}",
        "word it otherwise, or set its side or its verdict right",
    )


def _texts(ending: Ending) -> tuple[str, ...]:
    return ending.headline, *ending.do_now, ending.tell_driver, *ending.driver_by.values()


def _sides_not_taken(ending: Ending) -> Iterator[str]:
    for topic, sides in _SIDES[ending.verdict].items():
        side = ending.speaks.get(topic, sides[0])
        if side not in sides:
            yield f"speaks {side} {topic}" if side in (FOR, AGAINST) else f"takes no side on {topic}"


def _said(texts: tuple[str, ...], verdict: Verdict, speaks: Mapping[str, str]) -> Iterator[str]:
    """What sentences say outright that a verdict does not bear, or that the sides taken contradict."""
    for sentence in (part for text in texts for part in re.split(r"(?<=[.;:!?])\s+|\s+-\s+", text)):
        if verdict is not Verdict.SCRAP and _SAYS_OVER.search(sentence) and not _ON_CONDITION.search(sentence):
            yield f'says "{_brief(sentence)}", that it is over'
        if verdict is Verdict.REPAIR and _SAYS_NOT.search(sentence):
            yield f'says "{_brief(sentence)}", against repair'
        for topic, words in _SAYS_FOR.items():
            borne = verdict is Verdict.REPAIR and speaks.get(topic, FOR) != AGAINST
            if not borne and words.search(sentence) and not _OPEN.search(sentence):
                yield f'says "{_brief(sentence)}", for {topic}'


def _brief(sentence: str) -> str:
    return sentence if len(sentence) <= 60 else f"{sentence[:59]}…"

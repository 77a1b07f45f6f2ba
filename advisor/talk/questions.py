"""Questions about a case in one's own words: why, why not, what if, how sure, least change, what is a word."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.errors import shown
from advisor.model.case import TIRE, Case, Key
from advisor.model.rules import leaves
from advisor.talk.told import Told
from advisor.talk.typed import plain

if TYPE_CHECKING:
    from advisor.talk.hear.listen import Listener

WORD = re.compile(
    r"(?:what is|what's|whats|what are|define|explain|what does)\s+(?:an?\s+|the\s+)?(?P<term>.+?)(?:\s+mean)?\s*\??",
    re.I,
)
_CANT = r"(?:can't|cant|cannot|can not|won't|couldn't|may|might)"
WHY_NOT = re.compile(
    rf"(?:why (?:not|isn't (?:it|this|that)|is (?:it|this|that) not"
    rf"|{_CANT} (?:i|we|it|this|that)(?: not)?(?: be| do| use)?)"
    r"|what (?:stands|is|speaks) (?:in the way of|against))\s+(?P<wanted>.+?)\s*\??",
    re.I,
)
WHAT_IF = re.compile(
    r"(?:and |so |but )?(?:what if|what happens (?:if|at|with)|suppose|supposing"
    r"|what about|how about|and if)\s+(?P<said>.+?)\s*\??"
    r"|what (?:would|will|does) (?P<said2>.+?) (?:change|do|mean for it|make)\s*\??"
    r"|would (?P<said3>.+?) (?:change|make|alter) (?:anything|it|that|a difference)\s*\??",
    re.I,
)
SURE = re.compile(
    r"(?:how (?:sure|certain|firm|confident).*|are you (?:sure|certain).*|is (?:that|it|this) (?:sure|certain|firm).*)",
    re.I,
)
LEAST = re.compile(
    r"(?:least change|what would change (?:it|that|the verdict)|what would have to (?:be different|change).*"
    r"|what would it take.*|how close.*|what is it short of|by how much.*)\??",
    re.I,
)
SAFE = re.compile(r"(?:is|are|will|would|can|could|how)\b.*\b(?:safe|safely)\b.*", re.I)
NEVER_SAFE = "Nothing here ever says that a repair is safe; it says what the rules named bring, and how firm that is."
BASIS = re.compile(r"(?:who says so|says who|whose rule is (?:it|that|this)|is (?:it|that|this) the law)\s*\??", re.I)
_REJECTED = re.compile(
    r"(?:(?:was|is|has|did|it|this|that|the|my|tire|tyre|casing|been|get) )*"
    r"(?:rejected|refused|turned down|condemned|failed?)"
)
WHY = re.compile(r"why(?:\s+(?P<what>.*?))?\s*\??", re.I)


def told(
    judge: Judge,
    case: Case,
    judgement: Judgement,
    text: str,
    listener: Listener | None = None,
    asked: Key | None = None,
) -> Told | None:
    """The answer to a question about a case, or None where the text is no such question."""
    said = " ".join(text.replace("’", "'").split())
    if said[:4].casefold() == "why " and (step := _step(judge, case, judgement, said)) is not None:
        return step
    about = _about_questions(judge, case, judgement, said, asked)
    if about is not None:
        return about
    if match := WHY_NOT.fullmatch(said):
        from advisor.talk.why_not import why_not

        return why_not(judge, judgement, match["wanted"])
    if SURE.fullmatch(said):
        from advisor.talk.how_sure import how_sure

        return how_sure(judge, case, judgement)
    if SAFE.fullmatch(said):
        from advisor.talk.how_sure import how_sure

        sure = how_sure(judge, case, judgement)
        return Told(sure.kind, (NEVER_SAFE, *sure.lines), sure.parts)
    if LEAST.fullmatch(said):
        from advisor.talk.least_change import least_change

        return least_change(judge, case, judgement)
    if match := WHAT_IF.fullmatch(said):
        wanted = match["said"] or match["said2"] or match["said3"]
        return _what_if(judge, case, judgement, wanted, listener, asked)
    if match := WORD.fullmatch(said):
        from advisor.talk.why import explain_word

        found = explain_word(match["term"], judge)
        return Told("word" if found.kind == "help" else "", found.lines)
    if BASIS.fullmatch(said):
        return _why(judge, case, judgement, "")
    if (match := WHY.fullmatch(said)) and not (match["what"] or "").casefold().startswith(("ask", "do you")):
        return _why(judge, case, judgement, match["what"] or "")
    return None


def _step(judge: Judge, case: Case, judgement: Judgement, said: str) -> Told | None:
    """A step of why opened: why 2, why answers, why limits."""
    from advisor.talk.why_page import STEP, why_step

    match = STEP.fullmatch(said)
    return why_step(judge, case, judgement, match["what"]) if match else None


#: A text that could be about the questions themselves; only then is that looked at.
_ABOUT = re.compile(r"(?:how|why|what|which)\b", re.I)


def _about_questions(judge: Judge, case: Case, now: Judgement, said: str, asked: Key | None) -> Told | None:
    """What is said of the questions themselves: the order, what is open, why one is asked, how it is measured."""
    if not _ABOUT.match(said) or (WHY.fullmatch(said) and len(said) < len("why is")):
        return None
    from advisor.talk import asked_about

    if asked_about.ORDER.fullmatch(said):
        return asked_about.why_order(judge, case, now, asked)
    if asked_about.OPEN.fullmatch(said):
        return asked_about.could_be(judge, case, now)
    if match := asked_about.WHY_ASK.fullmatch(said):
        what = next((found for found in match.groups() if found), "") or (asked[0] if asked else "")
        return asked_about.why_ask(what, judge)
    if match := asked_about.HOW.fullmatch(said):
        return asked_about.how_to(match["what"], judge)
    return None


def _why(judge: Judge, case: Case, judgement: Judgement, what: str) -> Told | None:
    """Why; "why repair?" of a tire that is scrap says first that it is not."""
    from advisor.talk.why_short import why

    word = plain(what).removeprefix("is it ").removeprefix("is this ").removeprefix("a ").rstrip("?. ")
    found = why(judge, case, judgement)
    verdicts = {"repair", "refer", "hold", "scrap"}
    if word in verdicts and word != str(judgement.verdict):
        return Told("why", (f"It is not {word.upper()}.", *found.lines), found.parts)
    if word in (
        "",
        *verdicts,
        "that",
        "this",
        "so",
        "is that",
        "is it so",
        "this verdict",
        "the verdict",
    ) or _REJECTED.fullmatch(word):
        return found
    return found if word.replace(" ", "-") == judgement.method else None


#: A distance from the center line, and one said to be positive: towards the serial side, as the question says.
_OFFSET = re.compile(r"\boffset\b|\bcent(?:er|re)\s?-?line\b", re.IGNORECASE)
_PLUS = re.compile(r"(?:\bplus\s+|(?<!\S)\+\s*)(\d[\d./ ]*(?:mm|cm|inch(?:es)?|in\b|\")?)", re.IGNORECASE)


def _what_if(
    judge: Judge, case: Case, judgement: Judgement, said: str, listener: Listener | None, asked: Key | None
) -> Told:
    from advisor.talk.hear.listen import Listener as Hearing
    from advisor.talk.what_if import what_if

    for start in ("it were ", "it was ", "it is ", "it's ", "it had been ", "that were ", "it measured "):
        if said.casefold().startswith(start):
            said = said[len(start) :]
            break
    of_offset = bool(_OFFSET.search(said))
    if of_offset:
        said = _PLUS.sub(r"\1 toward the serial side", said)
    hearing = listener or Hearing(judge.rules)
    heard = hearing.hear(said, case, asked, facts=False)
    if not heard.understood:
        heard = hearing.hear(said, case, _only_figure(judge, case, said, hearing), facts=False)
    misplaced = of_offset and not any(one.key[0].endswith("offset") for one in heard.understood)
    if not heard.understood or misplaced:
        lines = [f'What would be different is not clear from "{shown(said, 80)}".']
        lines += [f"  {judge.rules.questions[ask.key[0]].name}: {ask.why}" for ask in heard.asks_back]
        return Told("", (*lines, "Say it with its name: what if the angle were 30 degrees?"))
    return what_if(judge, case, judgement, [(one.key, one.answer) for one in heard.understood])


def _only_figure(judge: Judge, case: Case, said: str, hearing: Listener) -> Key | None:
    """For a bare figure the one answer of its kind of measure; where none was given, the one question."""
    from advisor.talk.hear.figures import figure_at
    from advisor.talk.hear.tokens import tokens_of
    from advisor.talk.reasons_short import answered_keys

    tokens = tokens_of(said)
    figure = figure_at(tokens, 0, hearing.lexicon) if tokens else None
    if figure is None or not figure.quantity:
        return None
    fitting = [
        key
        for key in answered_keys(case, judge.rules)
        if judge.rules.questions[key[0]].quantity == figure.quantity and judge.rules.questions[key[0]].kind == "measure"
    ]
    if not fitting:
        wanted = (figure.quantity, "measure")
        held = {
            leaf.subject for ruling in judge.rules.rulings() for leaf in leaves(ruling.when) if leaf.test == "beyond"
        }
        of_kind = [each for each in judge.rules.questions.values() if (each.quantity, each.kind) == wanted]
        named = [each for each in of_kind if each.id in held] or of_kind
        fitting = [(each.id, TIRE if each.over == "tire" else 0) for each in named]
    return fitting[0] if len(fitting) == 1 else None

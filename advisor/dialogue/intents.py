"""What a typed question asks: which explanation answers it.

Questions back about the questions: why one is asked, how it is measured, in which order, what is still open.

Questions about a case in one's own words: why, why not, what if, how sure, least change, what is a word.
Questions that the technician asks back in the middle of a consultation.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.dialogue.asking_order import AskedTogether, order_of
from advisor.dialogue.prompt import settled_now
from advisor.dialogue.proposed_answers import doubts_noted
from advisor.dialogue.question_order import Narrowing, free_with, narrows_most
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.judgement_types import Judgement
from advisor.explain.confidence import with_doubts
from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Key
from advisor.model.lexicon_entries import folded
from advisor.model.problems import shown
from advisor.model.ruleset import Question, Verdict, leaves
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message
from advisor.wording.verdict_card import question_in_words, questions_in_words

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation
    from advisor.nlu.pipeline import Listener


WORD = re.compile(
    r"(?:what is|what's|whats|what are|define|explain|what does)\s+(?:an?\s+|the\s+)?(?P<term>.+?)(?:\s+mean)?\s*\??",
    re.I,
)
_IT = r"(?:i|we|it|this|that|(?:the|this|my) (?:tire|tyre|casing))"
_CANT = r"(?:can't|cant|cannot|can not|won't|couldn't|may|might)"
WHY_NOT = re.compile(
    rf"(?:why (?:not|isn't {_IT}|is {_IT} not|can {_IT} not(?: be| do| use)?|{_CANT} {_IT}(?: not)?(?: be| do| use)?)"
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
_LEAST = re.compile(
    r"(?:least change|what would change (?:it|that|the verdict)|what would have to (?:be different|change).*"
    r"|what would it take.*|how close.*|what is it short of|by how much.*)\??",
    re.I,
)
SAFE = re.compile(r"(?:is|are|will|would|can|could|how)\b.*\b(?:safe|safely)\b.*", re.I)
NEVER_SAFE = "Nothing here ever says that a repair is safe; it says what the rules named bring, and how firm that is."
_BASIS = re.compile(r"(?:who says so|says who|whose rule is (?:it|that|this)|is (?:it|that|this) the law)\s*\??", re.I)
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
) -> Message | None:
    """The answer to a question about a case, or None where the text is no such question."""
    said = " ".join(text.replace("’", "'").split())
    if said[:4].casefold() == "why " and (step := _step(judge, case, judgement, said)) is not None:
        return step
    about = _about_questions(judge, case, judgement, said, asked)
    if about is not None:
        return about
    if match := WHY_NOT.fullmatch(said):
        from advisor.explain.why_not import why_not

        return why_not(judge, judgement, match["wanted"])
    if SURE.fullmatch(said):
        from advisor.explain.confidence import how_sure

        return how_sure(judge, case, judgement)
    if SAFE.fullmatch(said):
        from advisor.explain.confidence import how_sure

        sure = how_sure(judge, case, judgement)
        return Message(sure.kind, (NEVER_SAFE, *sure.blocks), parts=sure.parts)
    if _LEAST.fullmatch(said):
        from advisor.explain.least_change import least_change

        return least_change(judge, case, judgement)
    if match := WHAT_IF.fullmatch(said):
        wanted = match["said"] or match["said2"] or match["said3"]
        return _what_if(judge, case, judgement, wanted, listener, asked)
    if match := WORD.fullmatch(said):
        from advisor.explain.why import explain_word

        found = explain_word(match["term"], judge)
        return Message("word" if found.kind == "help" else found.kind, found.blocks)
    if _BASIS.fullmatch(said):
        return _why(judge, case, judgement, "")
    if (match := WHY.fullmatch(said)) and not (match["what"] or "").casefold().startswith(("ask", "do you")):
        return _why(judge, case, judgement, match["what"] or "")
    return None


def _step(judge: Judge, case: Case, judgement: Judgement, said: str) -> Message | None:
    """A step of why opened: why 2, why answers, why limits."""
    from advisor.explain.why import STEP, why_step

    match = STEP.fullmatch(said)
    return why_step(judge, case, judgement, match["what"]) if match else None


#: A text that could be about the questions themselves; only then is that looked at.
_ABOUT = re.compile(r"(?:how|why|what|which)\b", re.I)


def _about_questions(judge: Judge, case: Case, now: Judgement, said: str, asked: Key | None) -> Message | None:
    """What is said of the questions themselves: the order, what is open, why one is asked, how it is measured."""
    if not _ABOUT.match(said) or (WHY.fullmatch(said) and len(said) < len("why is")):
        return None

    if _ORDER.fullmatch(said):
        return why_order(judge, case, now, asked)
    if OPEN.fullmatch(said):
        return could_be(judge, case, now)
    if match := WHY_ASK.fullmatch(said):
        what = next((found for found in match.groups() if found), "") or (asked[0] if asked else "")
        return why_ask(what, judge)
    if match := HOW.fullmatch(said):
        return how_to(match["what"], judge)
    return None


def _why(judge: Judge, case: Case, judgement: Judgement, what: str) -> Message | None:
    """Why; "why repair?" of a tire that is scrap says first that it is not."""
    from advisor.explain.why import why

    word = plain(what).removeprefix("is it ").removeprefix("is this ").removeprefix("a ").rstrip("?. ")
    found = why(judge, case, judgement)
    verdicts = {"repair", "refer", "hold", "scrap"}
    if word in verdicts and word != str(judgement.verdict):
        return Message("why", (f"It is not {word.upper()}.", *found.blocks), parts=found.parts)
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
) -> Message:
    from advisor.explain.counterfactual import what_if
    from advisor.nlu.pipeline import Listener as Hearing

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
    offsets = tuple(map(judge.rules.question_now, (inputs.OFFSET, inputs.REPAIR_OFFSET)))
    misplaced = of_offset and not any(one.key[0] in offsets for one in heard.understood)
    if not heard.understood or misplaced:
        back = tuple(f"{judge.rules.questions[ask.key[0]].name}: {ask.why}" for ask in heard.asks_back)
        unclear = Block(f'What would be different is not clear from "{shown(said, 80)}".', back)
        return Message("complaint", (unclear, "Say it with its name: what if the angle were 30 degrees?"))
    return what_if(judge, case, judgement, [(one.key, one.answer) for one in heard.understood])


def _only_figure(judge: Judge, case: Case, said: str, hearing: Listener) -> Key | None:
    """For a bare figure the one answer of its kind of measure; where none was given, the one question."""
    from advisor.explain.sufficient_reason import answered_keys
    from advisor.nlu.sentence_figures import figure_at
    from advisor.nlu.tokenizer import tokens_of

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


def question_back(consultation: Consultation, text: str) -> list[Message]:
    """The answer to a question back; nothing where the text is none."""
    said = " ".join(text.replace("’", "'").split())
    if re.fullmatch(r"why\s*\??", said, re.I):
        return []
    if consultation.in_order and _ORDER.fullmatch(said):
        here = consultation.judge, consultation.case, consultation.judgement, consultation.question_key
        return [why_order(*here, in_order=True)]
    judge, case = consultation.judge, consultation.case
    listener = (
        consultation.listener if re.match(r"(?:and |so |but )?(?:what|how about|suppose|would)", said, re.I) else None
    )
    found = told(judge, case, consultation.judgement, said, listener, consultation.question_key)
    if found and found.kind == "how-sure":
        found = with_doubts(found, doubts_noted(consultation.notes))
    return [found] if found else []


def narrowest(consultation: Consultation) -> Message:
    """What it could still be, and the open question whose answers leave the fewest verdicts."""

    return Message("help", could_be(consultation.judge, consultation.case, consultation.judgement).blocks)


HOW = re.compile(
    r"how (?:do|can|should|would|is|are) (?:i |you |we |one )?"
    r"(?:measure|find out|tell|check|gauge|find|see|read)?\s*(?P<what>.+?)\s*(?:measured|found|read|checked)?\s*\??",
    re.I,
)
WHY_ASK = re.compile(
    r"why (?:do|would|must|should) (?:you|i|we) (?:ask|need|want|care|know|say|give|measure)"
    r"(?: to know)?(?: about| for)?\s*(?P<what>.*?)\s*\??|why is (?P<what2>.+?) (?:asked|needed)\s*\??"
    r"|what is (?P<what3>.+?) (?:needed|asked) for\s*\??|why does (?P<what4>.+?) matter\s*\??",
    re.I,
)
_ORDER = re.compile(
    r"why (?:(?:is |do you ask )?(?:(?:that|this|it)(?: question)? )?(?:first|now|next)|(?:in )?(?:that|this) order"
    r"|(?:are they|do you ask|is it) .*\border).*",
    re.I,
)
OPEN = re.compile(
    r"(?:what|how) (?:could|can|might|may) (?:it|this|that) (?:still )?(?:be|end|become|end (?:up )?as).*"
    r"|what(?:'s| is| are) (?:still )?(?:open|possible|missing|left)(?: to (?:ask|answer|say))?\s*\??"
    r"|what else (?:could|can) it be.*"
    r"|(?:which|what) question narrows (?:it )?(?:down )?(?:the )?most\s*\??|what narrows (?:it )?(?:the )?most\s*\??",
    re.I,
)
_STARTS = ("the ", "an ", "a ", "its ", "my ", "how ", "about ", "injury's ")


def named(what: str, judge: Judge) -> Question | None:
    """The question that a name stands for: its id, its name, or a word that stands beside its figure."""
    rules = judge.rules
    word = folded(what)
    for start in _STARTS:
        word = word.removeprefix(start)
    names: dict[str, Question] = {}
    for phrase, found in rules.phrases.labels.items():
        names[phrase] = rules.questions[found[0]]
    for name, question in rules.questions.items():
        short = folded(question.name).removeprefix("the ")
        names |= {each.replace("-", " "): question for each in question.formerly}
        names |= {short.removeprefix("injury's "): question, short: question, name.replace("-", " "): question}
    return names.get(word)


def how_to(what: str, judge: Judge) -> Message | None:
    """How to find out what was named; None where nothing is known by that name."""
    question = named(what, judge)
    if question is None or not question.how:
        return None
    lines = (f"{question.name[:1].upper()}{question.name[1:]}: {judge.in_words(question.how)}",)
    return Message("word", lines, parts=({"question": question.id, "how": judge.in_words(question.how)},))


def why_ask(what: str, judge: Judge) -> Message | None:
    """Why a question is asked, and the endings that it can bring."""
    question = named(what, judge)
    if question is None:
        return None
    from advisor.explain.why import why_asked

    title = Block(f"{question.name[:1].upper()}{question.name[1:]}:", role="title")
    return Message("why", (title, *why_asked(judge, question.id).blocks), parts=({"question": question.id},))


def could_be(judge: Judge, case: Case, now: Judgement) -> Message:
    """The verdicts still possible, what is still to be asked, and which of it narrows most."""
    ends = " or ".join(str(verdict).upper() for verdict in now.could_end)
    lines: list[Said] = [
        f"It could still end as {ends}." if len(now.could_end) > 1 else f"It ends as {ends}, whatever is open."
    ]
    open_names = questions_in_words(now.missing, judge.rules)
    if open_names:
        lines.append(f"Still open: {'; '.join(open_names)}.")
    if now.measure_again and not open_names:
        lines.append(f"Measure again: {'; '.join(questions_in_words(now.measure_again, judge.rules))}.")
    best = narrows_most(judge, case, now)
    if open_names:
        lines.append(_narrowing(best, now))
    parts = tuple({"question": label_of(key, judge.rules), "role": "open"} for key in now.missing)
    most = ({"question": label_of(best.key, judge.rules), "role": "narrows most", "left": best.left},) if best else ()
    ended = tuple({"verdict": str(verdict), "role": "possible"} for verdict in now.could_end)
    return Message("how-sure", tuple(lines), parts=(*ended, *most, *parts))


def _narrowing(best: Narrowing | None, now: Judgement) -> Said:
    if best is None:
        return "No single answer was found that would narrow it."
    leave = f"Its answers leave {best.left:.1f} of {len(now.could_end)} verdicts open on average."
    return Block(f"It narrows most to know: {best.name}.", (leave,))


def _why_now(judge: Judge, now: Judgement, prompts: list[AskedTogether]) -> Message:
    """Why a prompt comes now: what waits for it, what it takes, what comes after it."""
    keys, *others = (prompt.keys for prompt in prompts)
    rules = judge.rules
    waiting = [each for each in now.possible if each.ruling and each.keys & set(keys)]
    scrap = sum(Verdict.SCRAP in each.verdicts for each in waiting)
    total = sum(each.ruling is not None for each in now.possible)
    names = "; ".join(questions_in_words(keys, rules))
    wait = f"{len(waiting)} of the {total} rulings that could still decide wait for it; {scrap} of them may bring scrap"
    why = "of all that may come next this is expected to settle most for the least effort"
    if settled_now(now, judge):
        why = "the verdict is settled, and this is for a whole record"
    elif prompts[0].begun:
        why = "begun already, and what belongs together is finished first"
    lines = [f"{names[:1].upper()}{names[1:]}: {why}.", f"{wait}."]
    here = {key[0] for key in keys}
    to_come = dict.fromkeys(name for name, _ in now.walk.to_ask if here & {*rules.questions[name].after})
    if to_come:
        lines.append(f"It has to be known ahead of: {'; '.join(rules.questions[name].name for name in to_come)}.")
    if others:
        lines.append(f"After it: {'; '.join(questions_in_words(others[0], rules))}.")
    lines.append(
        "How often an answer comes up, and what it takes to find, is this program's own estimate. "
        "In any order the same answers bring the same verdict."
    )
    return Message("why", tuple(lines), parts=({"question": label_of(keys[0], rules), "prompt": len(keys)},))


def why_order(judge: Judge, case: Case, now: Judgement, asked: Key | None, in_order: bool = False) -> Message:
    """Why the open question comes now: it settles most, or the rules fix the order, or it narrows most of the free."""
    prompts = [] if in_order else order_of(judge).prompts(case, now, frozenset())
    key = asked or next((prompt.keys[0] for prompt in prompts if now.missing), None) or next(iter(now.missing), None)
    if key is None:
        return Message("why", ("No question is open.",))
    if prompts and key in prompts[0].keys:
        return _why_now(judge, now, prompts)
    name = question_in_words(key, judge.rules)
    free = [other for other in free_with(key, judge, now.missing) if other != key]
    if not free:
        lines = [f"{name[:1].upper()}{name[1:]} has its place by the rules: what comes later may rest on it."]
    else:
        others = "; ".join(questions_in_words(tuple(free), judge.rules))
        best = narrows_most(judge, case, now, (key, *free))
        lines = [f"The rules leave the order free between {name} and: {others}."]
        lines.append(
            f"It comes first because its answers leave the fewest verdicts open: {best.left:.1f} on average."
            if best and best.key == key
            else "None of them narrows the verdicts more than the others, so they come as they stand in the rules."
        )
    if best_of_all := narrows_most(judge, case, now):
        lines.append(f"Of all that is open, {best_of_all.name} narrows most.")
    return Message("why", tuple(lines), parts=({"question": label_of(key, judge.rules)},))

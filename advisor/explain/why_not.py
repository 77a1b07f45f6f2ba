"""Why not another verdict or another method: every ruling that stands in the way, the nearest first."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from advisor.engine.conditions import compiled, row_tested
from advisor.engine.evaluator import Judge, label_of
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import value_in_words
from advisor.explain.why import limit_meaning
from advisor.model.case import Readings
from advisor.model.problems import closest, shown
from advisor.model.quantity import Measure, lowest
from advisor.model.ruleset import Condition, Join, Leaf, Method, Verdict
from advisor.wording.blocks import Block, Said
from advisor.wording.explanation import explain
from advisor.wording.messages import Message, MessagePart, headline
from advisor.wording.verdict_card import basis_in_words, question_in_words, questions_in_words


def why_not(judge: Judge, judgement: Judgement, wanted: str) -> Message:
    """What stands against a verdict or a method named in a few words."""
    word = " ".join(wanted.casefold().replace("-", " ").split()).strip(" ?.!\"'")
    for start in ("a ", "an ", "the ", "it ", "to ", "just "):
        word = word.removeprefix(start)
    verdict = _verdict(word)
    if verdict is not None:
        return _against_verdict(judge, judgement, verdict)
    method = method_named(word, judge)
    if method is not None:
        return _against_method(judge, judgement, method)
    known = [str(each) for each in Verdict] + [each.id for each in judge.rules.methods.values()]
    nearest = closest(word, known)
    lines = [f'"{shown(wanted, 60)}" is no verdict and no method here.', f"One of: {', '.join(known)}."]
    return Message("complaint", tuple(lines + ([f"Nearest: {', '.join(nearest)}."] if nearest else [])))


def _verdict(word: str) -> Verdict | None:
    first = word.partition(" ")[0].removesuffix("ed").removesuffix("ing")
    forms = {
        "repair": 0,
        "fix": 0,
        "mend": 0,
        "patch": 0,
        "pass": 0,
        "refer": 1,
        "hold": 2,
        "scrap": 3,
        "scrapp": 3,
        "junk": 3,
    }
    return Verdict(forms[first]) if first in forms and " repair" not in word else None


def method_named(word: str, judge: Judge) -> Method | None:
    """The method that a few words name."""
    for method in judge.rules.methods.values():
        names = {each.replace("-", " ") for each in (method.id, *method.formerly)}
        names |= {method.title.casefold().replace("-", " ").partition(" (")[0]}
        if any(word in (name, f"{name} repair", f"{name} unit") or word.startswith(name) for name in names):
            return method
    return None


def _against_verdict(judge: Judge, judgement: Judgement, wanted: Verdict) -> Message:
    name = str(wanted).upper()
    if judgement.verdict == wanted:
        return Message("why-not", (f"As things stand it is {name}.", headline(judgement, judge)))
    if judgement.verdict > wanted:
        head = spelled(f"What stands between this tire and {name}, the nearest first:", judge.rules)
        return _told(judge, judgement, wanted, [Block(head, role="title")], [])
    lines: list[Said] = [
        f"Nothing that was answered brings {name}; as things stand it is {str(judgement.verdict).upper()}."
    ]
    if wanted in judgement.could_end:
        could = questions_in_words(judgement.missing, judge.rules)
        lines.append(Block("It could still come to that; open are:", tuple(could), "title"))
    return Message("why-not", tuple(lines))


def _told(judge: Judge, judgement: Judgement, wanted: Verdict, lines: list[Said], parts: list[MessagePart]) -> Message:
    """The explanation's reasons that stand against a verdict, and what is open."""
    found = explain(judge, judgement)
    against = sorted((r for r in found.reasons if (r.verdict or Verdict.REPAIR) > wanted), key=_nearness)
    for number, reason in enumerate(against, 1):
        where = f"injury {reason.injury + 1}: " if reason.injury is not None else ""
        lines.append(Block(f"{number}. {where}{reason.says}", (basis_in_words(reason, judge.rules),), "step"))
        parts.append(_part(reason, judge))
    missing = questions_in_words(found.open, judge.rules) if wanted < Verdict.HOLD else []
    if missing:
        head = f"Not answered yet ({len(missing)}), and nothing counts as a pass until it is:"
        lines.append(Block(head, ("; ".join(missing),), "title"))
        parts += [
            {
                "question": label_of(key, judge.rules),
                "answer": None,
                "says": "not answered yet",
                "ruling": None,
                "limit": None,
                "verdict": "hold",
            }
            for key in found.open
        ]
    if judgement.measure_again and wanted < judgement.verdict:
        lines.append(
            f"In doubt, and it decides: {'; '.join(questions_in_words(judgement.measure_again, judge.rules))}."
        )
    return Message("why-not", tuple(lines), parts=tuple(parts))


def _nearness(reason: Reason) -> tuple[int, Fraction]:
    """Milder verdicts first; among them the reading that is off its limit by the smaller share."""
    return int(reason.verdict or 0), off_by(reason)


def off_by(reason: Reason) -> Fraction:
    """How far a reading is off its limit, as a share of the limit; 2 where no figure is held against one."""
    if reason.limit is None or reason.figure is None or not reason.figure.low:
        return Fraction(2)
    from advisor.model.problems import Misread
    from advisor.model.quantity import read_measure

    try:
        here = read_measure(reason.answer, reason.figure.quantity).to(reason.figure.unit)
    except (Misread, ValueError):
        return Fraction(2)
    return min(abs(here.low - reason.figure.low), abs(here.high - reason.figure.low)) / abs(reason.figure.low)


def _part(reason: Reason, judge: Judge) -> MessagePart:
    return {
        "question": label_of(reason.key, judge.rules) if reason.question else None,
        "answer": reason.answer,
        "says": reason.says,
        "ruling": reason.ruling,
        "limit": reason.limit.id if reason.limit else None,
        "verdict": str(reason.verdict),
    }


def _against_method(judge: Judge, judgement: Judgement, method: Method) -> Message:
    if judgement.method == method.id:
        return Message("why-not", (f"{method.title}: that is the method as things stand.",))
    if method.id in judgement.also_allowed:
        return Message("why-not", (f"{method.title}: the rules allow it as well; a lesser method will do.",))
    says, parts = list[str](), list[MessagePart]()
    for facts in judgement.walk.tire.each("injuries"):
        for misfit, part in _misfits(method, facts, judge):
            many = len(judgement.injuries) > 1
            says.append(f"injury {facts.index + 1}: {misfit}" if many else misfit)
            parts.append(part)
    wanted = judge.rules.endings[method.ending].verdict if method.ending else Verdict.REFER
    aim = "What keeps it from being used here:" if method.when is not None else ""
    if judgement.verdict > wanted:
        these = "And these" if says else "These"
        against = f"{these} stand between this tire and {str(wanted).upper()}, the nearest first:"
        head = _titled(f"{method.title}. {aim if says else ''}", says)
        return _told(judge, judgement, wanted, [head, Block(spelled(against, judge.rules), role="title")], parts)
    if not says and judgement.verdict < wanted:
        says.append("It is not called for: a lesser method will do.")
    return Message("why-not", (_titled(f"{method.title}. {aim}", says),), parts=tuple(parts))


def _titled(text: str, details: list[str]) -> Block:
    return Block(text.rstrip(), tuple(details), "title" if text.endswith(":") else "plain")


def _misfits(method: Method, facts: Facts, judge: Judge) -> Iterator[tuple[str, MessagePart]]:
    """The parts of a method's condition that do not hold for an injury, or stay open."""
    rules = judge.rules
    for part in _parts(method.when):
        state = compiled(part, rules)(facts)
        if state is True:
            continue
        leaf = row_tested(part, facts, rules) if isinstance(part, Join) and part.table else part
        subject = leaf.subject if isinstance(leaf, Leaf) else ""
        question = rules.questions.get(subject)
        name = (
            question_in_words(facts.key(subject), rules).partition(": ")[2]
            or question_in_words(facts.key(subject), rules)
            if question
            else (rules.values[subject].name if subject in rules.values else "its condition")
        )
        here = value_in_words(facts.get(subject), question) if subject else "not given"
        needs = _needs(leaf, judge)
        open_ = "" if state is False else " (in doubt)"
        limit = leaf.operand[0] if isinstance(leaf, Leaf) and leaf.test in ("beyond", "within") else None
        label = label_of(facts.key(subject), rules) if question else None
        says = f"{name}: {here}{open_}; it takes {needs}"
        yield says, {"question": label, "answer": here, "says": says, "ruling": None, "limit": limit, "verdict": None}


def _parts(condition: Condition | None) -> list[Condition]:
    if isinstance(condition, Join) and condition.how == "all":
        return [leaf for part in condition.parts for leaf in _parts(part)]
    return [condition] if condition is not None else []


def _needs(leaf: Condition | None, judge: Judge) -> str:
    if not isinstance(leaf, Leaf):
        return "another answer"
    if leaf.test in ("beyond", "within"):
        return limit_meaning(judge.rules.limits[leaf.operand[0]])
    question = judge.rules.questions.get(leaf.subject)
    names = [found.says if question and (found := question.choice(name)) else name for name in leaf.operand]
    return " or ".join(names) or leaf.test


def reading_of(value: object) -> Measure | None:
    """A measure, or the lowest of several readings."""
    if isinstance(value, Readings):
        return lowest(value.readings)
    return value if isinstance(value, Measure) else None

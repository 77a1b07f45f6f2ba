"""Whose rule it is, where it is written, how firm it is, and whether it is law."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from advisor.engine.conditions import limit_by
from advisor.explain.asked_case import (
    AskedCase,
    Bases,
    basis_told,
    capitalized,
    caution_blocks,
    deciding_bases,
    limit_blocks,
    reasons_on,
    reasons_told,
    status_line,
    step_blocks,
    told_as,
    verdict_bases,
)
from advisor.explain.figure_named import FigureNamed, figures_named
from advisor.explain.question_reader import ReadQuestion, forms_of
from advisor.explain.why import standing_meaning, why
from advisor.model.asked import AskedSubject
from advisor.model.ruleset import (
    UNSOURCED,
    Basis,
    Verdict,
)
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message

#: What a source of a kind is, where it is asked whether it is law.
_IS_NO_LAW = {
    "association": "no law: the trade association's own text",
    "military manual": "no law: an army manual, which binds the army alone",
    "consensus standard": "no law by itself: a standard that a law may name",
    "trade press": "habit of the trade, as its press reports it",
    "derived": "no law: worked out from the texts named",
    "memory": "no law: general knowledge, no text was seen",
    "physics": "no law but nature's: worked out",
    "house rule": "no law: a house rule",
}
#: Kinds of source that somebody goes by as a rule, also where it is followed beyond what it was made for.
_BINDS_SOMEBODY = frozenset({"law", "state law", "association", "consensus standard"})
MOST_FIGURES_SHOWN = 4


def _bases(subject: AskedSubject | None, state: AskedCase, before: Bases, read: ReadQuestion) -> Bases:
    """What is asked about when it is asked who says so: a figure named, the subject's own rules, the answer before,
    the verdict.

    A figure that is asked about is never the verdict's: where it is not known of what, nothing is.
    """
    strong = subject is not None and not subject.weak
    if read.kind("act-asked") and state.now.verdict is not Verdict.REPAIR and not _with_figure(read, state):
        return verdict_bases(state)
    named = [(each.says, each.basis) for each in figures_named_here(read, state) if each.basis is not None]
    if subject is not None and subject.limits and _with_figure(read, state):
        own_limits = {says for _, says, _ in limit_blocks(subject.limits, state)}
        named = [each for each in named if each[0].partition(":")[0] in own_limits] or named
    if named:
        return tuple(named)[:MOST_FIGURES_SHOWN]
    if subject is not None and (strong or (_with_figure(read, state) and subject.limits)):
        rows = (
            *reasons_told(reasons_on(subject, state), state),
            *caution_blocks([name for name in subject.cautions if name in state.now.cautions], state),
            *limit_blocks((read.kind("law") and limits_of_law(subject.limits, state)) or subject.limits, state),
            *caution_blocks(subject.cautions, state),
            *step_blocks(subject.steps, state),
        )
        own = tuple(dict.fromkeys((label, basis) for _, label, basis in rows))
        return (*(deciding_bases(state) if subject.whole else ()), *own)[:MOST_FIGURES_SHOWN]
    return before or (() if _with_figure(read, state) else verdict_bases(state))


def figures_named_here(read: ReadQuestion, state: AskedCase) -> list[FigureNamed]:
    return (
        figures_named(read.text, state.judge, state.case, state.now)
        if any(word[:1].isdigit() for word in read.words)
        else []
    )


def _with_figure(read: ReadQuestion, state: AskedCase) -> bool:
    return forms_of(state.judge.rules).figure.search(read.text) is not None


def _law_words(basis: Basis, state: AskedCase) -> str:
    kinds = [state.judge.rules.sources[name].kind for name in basis.sources]
    if basis.standing in UNSOURCED and {*kinds} & _BINDS_SOMEBODY:
        return f"no law for this tire: {basis.standing}, after rules made for other tires or wheels, named below"
    if basis.standing in UNSOURCED:
        return f"habit, no law: {basis.standing}, and no rule stands behind it"
    if any("law" in kind for kind in kinds):
        others = [_IS_NO_LAW[kind] for kind in kinds if kind in _IS_NO_LAW]
        return f"law{', ' + str(basis.clause) if basis.clause not in ('', 'none') else ''}" + (
            f"; beside it {others[0]}" if others else ""
        )
    return "; ".join(dict.fromkeys(_IS_NO_LAW.get(kind, kind) for kind in kinds)) or basis.standing


def law(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Bases = ()) -> Message | None:
    """Whether it is law or habit, said first; then whose it is."""
    bases = _bases(subject, state, before, read)
    if not bases:
        return None
    bases, apart, behind = _and_of_verdict(bases, before, state)
    of_verdict, of_last = (_is_law(each, state) for each in (bases[:apart], bases[apart:]))
    head = PARTLY_LAW if (whole := _is_law(bases, state)) == "partly law" else f"It is {whole}."
    if behind == OF_LAST_ANSWER:
        apart_head = f"The verdict is {of_verdict}; what was answered last is {of_last}."
        head = apart_head if of_verdict != of_last else head
    rows: list[Said] = [
        Block(
            f"{capitalized(label)}",
            (_law_words(basis, state), basis_told(basis, state), *_bound_by(basis, state)),
        )
        for label, basis in bases
    ]
    first = [status_line(state)] if behind == OF_LAST_ANSWER else []
    rows = _apart(rows, apart, behind)
    return _of_figure(told_as("law", [*first, head, *rows], bases, kind="why"), subject, state, read)


def _is_law(bases: Bases, state: AskedCase) -> str:
    """Whether all, some or none of it is law."""
    sources = state.judge.rules.sources
    laws = [
        "law" in sources[name].kind and basis.standing not in UNSOURCED for _, basis in bases for name in basis.sources
    ]
    return "no law" if not any(laws) else "law" if all(laws) else "partly law"


PARTLY_LAW = "Partly law, partly not."
OF_VERDICT, OF_LAST_ANSWER = "What the verdict rests on:", "What was answered last rests on:"


def _and_of_verdict(bases: Bases, before: Bases, state: AskedCase) -> tuple[Bases, int, str]:
    """What an answer before rests on and what the verdict does, how many of them come first, the title of the rest.

    Where a tire is barred the verdict is what is asked of, whatever was told last besides; what was supposed last is
    the verdict that is asked of. Else it goes behind an answer by which nobody goes as a rule.
    """
    if bases != before or not before:
        return bases, len(bases), ""
    deciding, supposed = verdict_bases(state), state.before is not None and state.before.intent == "what-if"
    if state.now.verdict is not Verdict.REPAIR and not supposed:
        rest = tuple(each for each in bases if each not in deciding)
        return (*deciding, *rest), len(deciding), OF_LAST_ANSWER if rest else ""
    deciding = tuple(each for each in deciding if each not in bases)
    binds = any(_binds(basis, state) for _, basis in bases)
    return (bases, len(bases), "") if binds else ((*bases, *deciding), len(bases), OF_VERDICT)


def _apart(rows: list[Said], own: int, title: str) -> list[Said]:
    """Rows of which those behind the first ones stand under a title."""
    return [*rows[:own], Block(title, role="title"), *rows[own:]] if rows[own:] else rows


def _binds(basis: Basis, state: AskedCase) -> bool:
    """Whether a law, or a rule that somebody goes by, stands behind a basis."""
    kinds = {state.judge.rules.sources[name].kind for name in basis.sources}
    return basis.standing not in UNSOURCED and bool(_BINDS_SOMEBODY & kinds)


def law_of_ruling(state: AskedCase) -> Message | None:
    """The same of the rulings that decide, where a rule stands behind one of them."""
    bases = deciding_bases(state)
    if all(basis.standing in UNSOURCED for _, basis in bases):
        return None
    return law(None, state, ReadQuestion("", (), (), (), ()), bases)


def _bound_by(basis: Basis, state: AskedCase) -> Iterator[str]:
    """Whom the laws of a basis bind, as far as the rules say."""
    for name in basis.sources:
        source = state.judge.rules.sources[name]
        if source.binds:
            yield f"{source.title} binds {source.binds}"


def _of_figure(
    found: Message | None, subject: AskedSubject | None, state: AskedCase, read: ReadQuestion
) -> Message | None:
    """The same as an answer about the figure that was named, where nothing else was."""
    named = [] if subject is not None and not subject.weak else figures_named_here(read, state)
    return replace(found, subject=named[0].id) if found is not None and named else found


def law_in_short(bases: Bases, state: AskedCase) -> Block:
    """The same ahead of another answer."""
    said = dict.fromkeys(_law_words(basis, state) for _, basis in bases)
    words = [each for each in said if each.startswith("law")] or list(said)
    return Block("Law or habit:", tuple(words[:MOST_FIGURES_SHOWN]), "title")


def who_says(subject: AskedSubject | None, state: AskedCase, read: ReadQuestion, before: Bases = ()) -> Message | None:
    """Whose rule it is; of the verdict with the whole of why."""
    bases = _bases(subject, state, before, read)
    if not bases:
        return None
    bases, apart, behind = _and_of_verdict(bases, before, state)
    rows: list[Said] = [Block(f"{capitalized(label)}", tuple(whose_lines(basis, state))) for label, basis in bases]
    rows = [*([status_line(state)] if behind == OF_LAST_ANSWER else []), *_apart(rows, apart, behind)]
    if (subject is None or subject.weak) and not (
        before or _with_figure(read, state) or figures_named_here(read, state)
    ):
        found = why(state.judge, state.case, state.now)
        heads = dict.fromkeys(basis_told(basis, state) for _, basis in bases)
        first = [Block("Whose it is:", tuple(heads), "title")] if heads else []
        return Message("why", (*first, *found.blocks), parts=found.parts, intent="who-says", sources=bases)
    return _of_figure(told_as("who-says", rows, bases, kind="why"), subject, state, read)


def firm_figure(state: AskedCase, read: ReadQuestion) -> Message | None:
    """How firm a limit is whose figure is named; None where no limit has it."""
    named = [each for each in figures_named_here(read, state) if each.basis is not None and each.worked_out is None]
    return who_says(None, state, read) if named else None


def whose_lines(basis: Basis, state: AskedCase) -> Iterator[str]:
    rules = state.judge.rules
    for name in basis.sources:
        source = rules.sources[name]
        publisher = f" - {source.publisher}" if source.publisher not in ("", "none") else ""
        yield f"{source.title}{publisher} ({source.edition}); {source.kind}"
    if basis.clause not in ("", "none"):
        yield f"where in it: {basis.clause}"
    yield f"how firm: {standing_meaning(basis.standing, rules)}"


def limits_of_law(names: tuple[str, ...], state: AskedCase) -> tuple[str, ...]:
    """The limits that a law has, of those that may count here."""
    rules = state.judge.rules

    def is_law(name: str) -> bool:
        row = limit_by(rules.tables[name], state.facts, rules) if name in rules.tables else rules.limits.get(name)
        return row is not None and any("law" in rules.sources[each].kind for each in row.basis.sources)

    return tuple(name for name in names if is_law(name))

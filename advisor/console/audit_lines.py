"""The audit of a rule set, to print and tick off: rulings by standing, conflicts, what was not found, each limit.

Source, clause, standing, what counts at the limit and in doubt, who uses it, which test rows hold readings against it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from advisor.console.verdict_lines import wrapped
from advisor.engine.templates import limit_in_words
from advisor.model.ruleset import (
    NEVER_ALONE,
    STANDINGS,
    UNSOURCED,
    Condition,
    Conflict,
    Limit,
    RuleSet,
    Ruling,
    leaves,
)

#: Test rows by limit and by the side on which their reading lies: `at its figure`, `within`, `beyond`.
_Rows = Mapping[str, Mapping[str, Sequence[str]]]
_MOST_NAMED = 4
FIELD_WIDTH = 9
INDENT = "    "
_SIDES = ("at its figure", "within", "beyond")
_KINDS = ("scrap", "hold", "refer", "restrict", "pass", "warn")


def audit_lines(rules: RuleSet, rows: _Rows | None) -> Iterator[str]:
    """Every limit as a block of lines; `rows` None where no cases are at hand."""
    about = rules.about
    yield from wrapped(f"Audit of {about.title} ({about.id}), edition {about.edition}, digest {rules.digest}")
    yield from wrapped(f"The last word on every figure: {'; '.join(about.defers_to)}.", "", "  ")
    limits = sorted(rules.limits.values(), key=lambda limit: _order().index(limit.basis.standing))
    for standing in _order():
        count = sum(limit.basis.standing == standing for limit in limits)
        if count:
            yield f"  {count:3} {standing}{' - no rule or text stands behind these' if standing in UNSOURCED else ''}"
    yield from _what_decides(rules)
    decides = [limit for limit in limits if limit.worse and _rulings(limit, rules)]
    if rows is not None:
        for side in _SIDES:
            bare = [limit.id for limit in decides if not rows.get(limit.id, {}).get(side)]
            yield from wrapped(f"no test row {side} of: {', '.join(bare) or 'none'}", "  ", "    ")
    else:
        yield from wrapped("No test rows are at hand here: no cases stand beside these rules.", "  ", "    ")
    for limit in limits:
        yield ""
        yield from _block(limit, rules, rows)


def _what_decides(rules: RuleSet) -> Iterator[str]:
    """Rulings by standing and by what they bring; what rests on practice or memory; conflicts; what was not found."""
    yield from ("", "Rulings by standing: scrap, hold, refer, restrict, pass, only warn")
    rulings = list(rules.rulings())
    kinds = [_kind(ruling, rules) for ruling in rulings]
    for standing in STANDINGS:
        here = [kind for ruling, kind in zip(rulings, kinds, strict=True) if rules.standings_of(ruling)[0] == standing]
        if here:
            counts = ", ".join(str(here.count(kind)) for kind in _KINDS)
            yield f"  {len(here):3} {standing}: {counts}"
    weak = [
        (ruling, kind)
        for ruling, kind in zip(rulings, kinds, strict=True)
        if NEVER_ALONE.intersection(rules.standings_of(ruling)) and kind != "warn"
    ]
    yield from wrapped("Rests on common practice or memory alone, and so neither scraps nor passes:", "", "  ")
    for ruling, kind in weak:
        yield from wrapped(f"{kind}: {ruling.id} ({', '.join(rules.standings_of(ruling))})", "  ", "    ")
    if not weak:
        yield "  nothing"
    yield from _told("Sources in conflict, and which side counts:", rules.about.conflicts, rules)
    yield from ("", "Looked for and not found:")
    for each in rules.about.looked_for:
        yield from wrapped(f"- {each.says}", "  ", "    ")
        yield from wrapped(f"in: {each.where}; instead: {each.instead}", "    ", "    ")
    if not rules.about.looked_for:
        yield "  nothing is noted"
    yield ""


def _told(heading: str, conflicts: Sequence[Conflict], rules: RuleSet) -> Iterator[str]:
    yield from ("", heading)
    for each in conflicts:
        yield from wrapped(f"- {each.says}", "  ", "    ")
        yield from wrapped(f"sources: {', '.join(each.sources)}; counts: {each.counts}", "    ", "    ")
    if not conflicts:
        yield "  nothing is noted"


def _kind(ruling: Ruling, rules: RuleSet) -> str:
    if ruling.ending:
        return str(rules.endings[ruling.ending].verdict)
    return "restrict" if ruling.restrictions else "pass" if ruling.allows else "warn"


def _order() -> list[str]:
    """Standings: from memory first, then what else has no text behind it, then the rest."""
    unsourced = [standing for standing in STANDINGS if standing in UNSOURCED and standing != "from memory"]
    return ["from memory", *unsourced, *(standing for standing in STANDINGS if standing not in UNSOURCED)]


def _block(limit: Limit, rules: RuleSet, rows: _Rows | None) -> Iterator[str]:
    yield from wrapped(f"[ ] {limit.id}: {limit_in_words(limit)} - {limit.says}", "", "    ")
    yield from _field("standing", limit.basis.standing)
    for name in limit.basis.sources:
        source = rules.sources[name]
        yield from _field("source", f"{source.title}; {source.publisher}; {source.edition} ({source.kind})")
    yield from _field("clause", limit.basis.clause)
    for each in limit.later:
        sources = ", ".join(each.limit.basis.sources)
        says = f"{each.day}: {limit_in_words(each.limit)} ({each.limit.basis.standing}; {sources})"
        yield from _field("from", says)
    if limit.note:
        yield from _field("note", limit.note)
    uses = list(_uses(limit, rules))
    if limit.worse:
        side = "beyond it" if not limit.at_limit_passes else "within it"
        itself = "passes" if limit.at_limit_passes else "fails"
        yield from _field(
            "at it", f"{limit.worse} is worse; a reading of just the figure {itself}: it counts as {side}"
        )
        yield from _field("in doubt", "; ".join(_doubts(limit, rules)) or "no ruling goes by it alone")
    yield from _field("used by", "; ".join(uses) or "nothing but wording and steps")
    if limit.worse and _rulings(limit, rules) and rows is not None:
        yield from _field("tested", "; ".join(_tested(rows.get(limit.id, {}))) or "by no row")


def _field(name: str, text: str) -> Iterator[str]:
    lead = f"{name.ljust(FIELD_WIDTH)} "
    yield from wrapped(f"{lead}{text}", INDENT, INDENT + " " * len(lead))


def _tested(found: Mapping[str, Sequence[str]]) -> Iterator[str]:
    for side in _SIDES:
        rows, most = found.get(side, ()), 1 if side == "within" else _MOST_NAMED
        more = f" and {len(rows) - most} more" if len(rows) > most else ""
        yield f"{side}: {_named(rows[:most])}{more}" if rows else f"{side}: by no row"


def _named(rows: Sequence[str]) -> str:
    """Rows by their place, each table named once: `boundary_cases.csv:2, 7, 9`."""
    named, before = [], ""
    for row in rows:
        file, colon, line = row.rpartition(":")
        named.append(line if colon and file == before else row)
        before = file
    return ", ".join(named)


def _goes_by(limit: Limit, condition: Condition | None) -> bool:
    return any(leaf.operand[:1] == (limit.id,) for leaf in leaves(condition) if leaf.test in ("beyond", "within"))


def _rulings(limit: Limit, rules: RuleSet) -> list[Ruling]:
    return [ruling for ruling in rules.rulings() if _goes_by(limit, ruling.when)]


def _brings(ruling: Ruling) -> str:
    found = ["speaks for repair"] if ruling.allows else [ruling.ending] if ruling.ending else []
    found += [f"restriction {name}" for name in ruling.restrictions]
    return ", ".join([*found, *(f"caution {name}" for name in ruling.cautions)])


def _doubts(limit: Limit, rules: RuleSet) -> Iterator[str]:
    """What counts where a reading lies on both sides of it, or can't be told: each outcome once."""
    found: dict[str, None] = {}
    for ruling in _rulings(limit, rules):
        if ruling.ending:
            other = ruling.in_doubt or rules.about.when_in_doubt
            name = ruling.ending if other == "same" else other
            if ruling.same_for:
                name = f"{ruling.doubt_ending or ruling.ending} for {', '.join(sorted(ruling.same_for))}, else {other}"
            found[name] = None
        found |= dict.fromkeys(f"restriction {name} counts" for name in ruling.restrictions)
    yield from found


def _uses(limit: Limit, rules: RuleSet) -> Iterator[str]:
    yield from (f"ruling {ruling.id} ({_brings(ruling)})" for ruling in _rulings(limit, rules))
    yield from (f"worked-out {value.id}" for value in rules.values.values() if limit.id in value.figures.values())
    yield from (f"method {method.id}" for method in rules.methods.values() if _goes_by(limit, method.when))
    for node in rules.nodes.values():
        if any(_goes_by(limit, edge.when) for edge in node.next):
            yield f"way on from {node.id}"
    for method in rules.methods.values():
        yield from (f"step {method.id}.{step.id}" for step in method.steps if limit.id in step.figures)

"""Standings that claim more than the sources beside them can bear.

A card names an entry's sources, then its standing, so every one of them has to bear it. `published` is for texts that
were read first hand; `second-hand` for texts that were seen in a report at least; `derived` rests on no memory and on
no habit; what is known from memory alone is no common practice. A ruling that takes over the basis of its limit is
told there.

standing-above-source (error): a standing above the kind of a source of the entry, or above how it was read.
Why it is bad: the card and the driver's text name as published what nobody here has read.
PASS:
  sources.yaml: {chart: {title: Chart, publisher: nobody, edition: none, kind: association, read: first hand}}
  limits.yaml: {largest-hole/standing: published, largest-hole/source: chart}
  endings.yaml: {scrap-hole/tell-driver: The made-up published rules take it off the road.}
FAIL:
  limits.yaml: {largest-hole/standing: published}

scraps-on-practice (error): a ruling that scraps a tire by common practice or memory alone.
Why it is bad: a tire is thrown away though no text says so; what only the trade does may refer or hold. A shop's
house rule in its overlay may be stricter.
PASS:
  sources.yaml: {chart: {title: Chart, publisher: nobody, edition: none, kind: association, read: second hand}}
  limits.yaml: {largest-hole/standing: second-hand, largest-hole/source: chart}
FAIL:
  limits.yaml: {largest-hole/standing: common practice}

passes-on-practice (error): a ruling that speaks for a repair by common practice or memory alone.
Why it is bad: a tire goes back on the road though no text lets it.
PASS:
  sources.yaml: {chart: {title: Chart, publisher: nobody, edition: none, kind: association, read: second hand}}
  limits.yaml: {largest-hole/standing: second-hand, largest-hole/source: chart}
  paths.yaml: {nodes/size/rulings/+: {id: small, when: {size: {within: largest-hole}}, allows: repair, because: so}}
FAIL:
  limits.yaml: {largest-hole/standing: from memory}
  paths.yaml: {nodes/size/rulings/+: {id: small, when: {size: {within: largest-hole}}, allows: repair, because: so}}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.limits import Basis, Source
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import NEVER_ALONE, RuleSet, Ruling, Verdict

#: Kinds of sources that are no text of somebody's: they bear no `published` and no `second-hand` by themselves.
_MEMORY, _HABIT = "memory", frozenset({"house rule", "trade press"})
_TEXTS = frozenset(
    {"law", "state law", "association", "military manual", "consensus standard", "trade press", "physics"}
)


def check(rules: RuleSet) -> Iterator[Problem]:
    """Entries whose standing a source of theirs can't bear, and rulings that decide by practice or memory alone."""
    yield from _above_source(rules)
    yield from _on_practice(rules)


def _on_practice(rules: RuleSet) -> Iterator[Problem]:
    for ruling in rules.rulings():
        weak = NEVER_ALONE.intersection(rules.standings_of(ruling)) and not _is_house_rule(ruling, rules)
        scraps = bool(ruling.ending) and rules.endings[ruling.ending].verdict is Verdict.SCRAP
        if weak and scraps:
            yield _problem("scraps-on-practice", ruling, rules, "scraps", "an ending that refers or holds")
        elif weak and ruling.allows:
            yield _problem("passes-on-practice", ruling, rules, "lets pass", "a text behind what lets a tire pass")


def _is_house_rule(ruling: Ruling, rules: RuleSet) -> bool:
    """Whether a shop's own rule is behind it, which may be stricter than any text."""
    return any(rules.sources[name].kind == "house rule" for name in ruling.basis.sources)


def _problem(problem_id: str, ruling: Ruling, rules: RuleSet, does: str, wanted: str) -> Problem:
    standing = " and ".join(rules.standings_of(ruling))
    return Problem(
        problem_id,
        rules.place_of_ruling(ruling),
        f"the ruling {ruling.id}, which {does} by {standing} alone",
        wanted,
        "give it a source that says so, or another ending",
    )


def _above_source(rules: RuleSet) -> Iterator[Problem]:
    told: set[tuple[str, Basis]] = set()
    for what, place, basis in _entries(rules):
        weak = [name for name in basis.sources if not _bears(rules.sources[name], basis.standing)]
        if not weak or not _is_wrong(basis, weak) or (what, basis) in told:
            continue
        told.add((what, basis))
        source = rules.sources[weak[0]]
        yield Problem(
            "standing-above-source",
            place,
            f'"{basis.standing}" at {what}, beside the source {source.id} ({source.kind}, read {source.read})',
            "a standing that each of its sources bears",
            "lower the standing, or take out the source that does not bear it",
            see=((rules.place_of("sources.yaml", source.id), "the source"),),
        )


def _bears(source: Source, standing: str) -> bool:
    if standing == "published":
        return source.kind in _TEXTS - _HABIT and source.read == "first hand"
    if standing == "second-hand":
        return source.kind in _TEXTS and source.read != "not seen"
    if standing == "derived":
        return source.kind not in (_MEMORY, *_HABIT)
    return standing != "common practice" or source.kind != _MEMORY


def _is_wrong(basis: Basis, weak: list[str]) -> bool:
    """Whether sources that don't bear a standing are too many: one is, but beside something that does it is enough
    where the standing says that it is reported, derived or a habit."""
    return basis.standing == "published" or len(weak) == len(basis.sources)


def _entries(rules: RuleSet) -> Iterator[tuple[str, Place, Basis]]:
    for file, kind, entries in (
        ("limits.yaml", "limit", rules.limits),
        ("cautions.yaml", "caution", rules.cautions),
        ("methods.yaml", "method", rules.methods),
        ("units.yaml", "unit", rules.units),
    ):
        for name, entry in entries.items():
            yield f"the {kind} {name}", rules.place_of(file, name), entry.basis
    for method in rules.methods.values():
        for step in method.steps:
            place = rules.places.get(f"steps.yaml#{step.id}") or rules.place_of("methods.yaml", method.id)
            yield f"the step {step.id}", place, step.basis
    for ruling in rules.rulings():
        if not ruling.by_limit:
            yield f"the ruling {ruling.id}", rules.place_of_ruling(ruling), ruling.basis

"""Cases beside the rules, in FOLDER/cases, that end otherwise than they say.

Such a case is the proof of a limit or a ruling: an edit that lets it end otherwise is either a slip, or the case says
what held before. It is judged by the rules of its folder, whatever it names itself; without a day, as on 2026-03-14.

case-ends-otherwise (error): a case beside the rules that ends otherwise than its `ends` says.
Why it is bad: the rules say something else than whoever wrote the case had read in a source.
PASS:
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: repair}}
FAIL:
  limits.yaml: {largest-hole/value: 4 mm}
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: repair}}

case-unread (error): a case beside the rules that cannot be read.
Why it is bad: it proves nothing, and nobody sees that.
PASS:
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: repair}}
FAIL:
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{width: 5 mm}], ends: {verdict: repair}}

case-without-end (warning): a case beside the rules that does not say how it ends.
Why it is bad: it looks like a proof, and holds however it ends.
PASS:
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}], ends: {verdict: repair}}
FAIL:
  cases/hole.yaml: {answers: {findings: [none], sealant: "no"}, injuries: [{size: 5 mm}]}
"""

from __future__ import annotations

from collections.abc import Container, Iterator
from functools import cached_property
from pathlib import Path

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.cache import seal_over
from advisor.loader.case_file import CaseText
from advisor.loader.kept_cases import (
    NO_METHOD,
    ExpectedEnd,
    bytes_of_kept,
    case_texts_in,
    expected_end,
    kept_files,
    read_kept,
    restrictions_text,
)
from advisor.model.problems import Place, Problem, Problems
from advisor.model.ruleset import RuleSet
from advisor.tools.judged_before import JudgedBefore, JudgedCase, JudgedFile


class KeptCases(Struct, frozen=True):
    """The cases beside the rules: how many, how many a person has yet to look at, and what problems they show."""

    count: int
    proposed: int
    problems: tuple[Problem, ...] = ()


class KeptCaseJudge:
    """Judges cases beside rules: first by the rules `as_proved`, where they are known; once more by the whole ones.

    What is known of the cases from `before` is not judged anew, unless the case or what it hangs on is other since.
    """

    def __init__(self, rules: RuleSet, known: RuleSet | None = None, before: JudgedBefore | None = None) -> None:
        self._rules, self._known, self._before = rules, known, before

    @cached_property
    def _first(self) -> Judge:
        return Judge(self._known or self._rules)

    @cached_property
    def _whole(self) -> Judge:
        return Judge(self._rules) if self._known is not None else self._first

    def of_file(self, path: Path, label: str) -> KeptCases:
        """The cases of a file."""
        there = bytes_of_kept(path) if self._before is not None else None
        if self._before is None or there is None:
            return self._judged(path, label)[0]
        read_from = seal_over(msgspec.json.encode(there)).hex()
        then, anew = self._before.file(label, read_from), None
        if then is not None:
            anew = {number for number, case in enumerate(then.cases) if self._before.may_end_otherwise(case)}
        cases, known = self._judged(path, label, anew) if then is None or anew else (KeptCases(0, 0), {})
        if then is not None:
            known = {**dict(enumerate(then.cases)), **known}
            cases = KeptCases(len(then.cases), then.proposed, cases.problems)
        if bytes_of_kept(path) == there:
            self._before.keep(label, JudgedFile(read_from, cases.proposed, list(known.values())))
        return cases

    def _judged(
        self, path: Path, label: str, only: Container[int] | None = None
    ) -> tuple[KeptCases, dict[int, JudgedCase | None]]:
        """The cases of a file, or those `only`; and by number what is kept of each."""
        waiting, problems, known = 0, list[Problem](), dict[int, JudgedCase | None]()
        for number, text in enumerate(case_texts_in(path, label)):
            if only is not None and number not in only:
                continue
            found, proposed, judgement = _judged(text, self._first)
            if found and self._known is not None:
                found, proposed, _ = _judged(text, self._whole)
            waiting, problems = waiting + proposed, [*problems, *found]
            keeps = self._before is not None and judgement is not None and not found
            known[number] = self._before.case(judgement) if keeps else None  # type: ignore[union-attr, arg-type]
        return KeptCases(len(known), waiting, tuple(problems)), known


def judged(folder: Path, judges: KeptCaseJudge) -> KeptCases:
    """Every case in a rule folder's `cases`."""
    found = [judges.of_file(path, label) for path, label in kept_files(folder)]
    problems = (problem for each in found for problem in each.problems)
    return KeptCases(sum(each.count for each in found), sum(each.proposed for each in found), tuple(problems))


def check(rules: RuleSet, folder: Path) -> Iterator[Problem]:
    """Each case beside the rules that ends otherwise, cannot be read, or does not say how it ends."""
    yield from judged(folder, KeptCaseJudge(rules)).problems


def how_it_ends(judgement: Judgement) -> dict[str, str]:
    """What `ends` can say of a case, as it is judged."""
    return {
        "verdict": str(judgement.verdict),
        "ending": judgement.ending,
        "method": judgement.method or NO_METHOD,
        "restrictions": restrictions_text(judgement.restrictions),
    }


def _judged(text: CaseText, judge: Judge) -> tuple[tuple[Problem, ...], bool, Judgement | None]:
    """The problems that a case shows, whether it waits for a person to look at it, and how it is judged."""
    try:
        case = read_kept(text, judge.rules)
        expected = expected_end(text, judge.rules)
    except Problems as error:
        return tuple(replace(problem, id="case-unread") for problem in error.problems), False, None
    if expected is None:
        place = Place(text.file, text.line)
        do = "look how it ends by its source, and write that"
        return (Problem("case-without-end", place, "a case without `ends`", "ends: {verdict: …}", do),), False, None
    judgement = judge.judge(case)
    got = how_it_ends(judgement)
    other = [name for name, word in expected.words.items() if got[name] != word]
    problems = (_otherwise(expected, other, got, judgement, judge.rules),) if other else ()
    return problems, expected.proposed, judgement


def _otherwise(
    expected: ExpectedEnd, other: list[str], got: dict[str, str], judgement: Judgement, rules: RuleSet
) -> Problem:
    deciding = {reason.ruling for reason in judgement.reasons if reason.verdict is judgement.verdict}
    rulings = [ruling for ruling in rules.rulings() if ruling.id in deciding]
    return Problem(
        "case-ends-otherwise",
        min(expected.places[name] for name in other),
        ", ".join(f"{name} {got[name]}" for name in other),
        ", ".join(f"{name} {expected.words[name]}" for name in other),
        "correct the rules, or correct `ends` where the source has it so",
        see=(*expected.source, *((rules.place_of_ruling(each), f"the ruling {each.id}") for each in rulings)),
    )

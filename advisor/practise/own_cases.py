"""A trainer's own cases from case files, each with how it ends; the rules have to end it so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from advisor.loader.case_file import CaseText, read_case
from advisor.loader.kept_cases import case_texts_in, expected_end, with_older_answers
from advisor.model.problems import Place, Problem, Problems
from advisor.practise.made_up import MadeUpTire
from advisor.practise.tire_maker import TireMaker
from advisor.tools.case_ends import how_it_ends


def own_tires(files: Iterable[str], maker: TireMaker) -> list[MadeUpTire]:
    """The tires of the cases in files, in their order. Raises Problems with all that is wrong with any of them."""
    found: list[MadeUpTire] = []
    problems: list[Problem] = []
    for text in (text for file in files for text in case_texts_in(Path(file), file)):
        try:
            found.append(_own_tire(text, maker, len(found) + 1))
        except Problems as error:
            problems += error.problems
    if problems:
        raise Problems(problems)
    return found


def _own_tire(text: CaseText, maker: TireMaker, number: int) -> MadeUpTire:
    case = with_older_answers(read_case(text, maker.rules, maker.workshop.day), maker.rules)
    expected = expected_end(text, maker.rules)
    place = Place(text.file, text.line)
    if expected is None:
        do = "say how it ends, so that a slip is seen before a learner meets it"
        raise Problems([Problem("case-without-end", place, "a case without `ends`", "ends: {verdict: …}", do)])
    judgement = maker.judge.judge(case)
    if judgement.missing:
        names = ", ".join(maker.rules.questions[name].name for name, _ in judgement.missing)
        do = "answer it, or say cant-tell"
        raise Problems([Problem("case-not-whole", place, f"a case that leaves open: {names}", "every answer", do)])
    got = how_it_ends(judgement)
    other = [name for name, word in expected.words.items() if got[name] != word]
    if other:
        raise Problems([_otherwise(other, expected.words, got, expected.places[other[0]])])
    return maker.of_case(case, f"{Path(text.file).name} {number}", number)


def _otherwise(other: list[str], words: Mapping[str, str], got: Mapping[str, str], place: Place) -> Problem:
    says = ", ".join(f"{name} {words[name]}" for name in other)
    return Problem(
        "case-ends-otherwise",
        place,
        f"{says}, where the rules have {', '.join(f'{name} {got[name]}' for name in other)}",
        "how the rules end it",
        "correct the case, or take the rules that end it so",
    )

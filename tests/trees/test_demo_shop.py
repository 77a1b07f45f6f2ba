"""The demo shop: an overlay that is stricter and its own, and says on every face that it is invented."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.session_lines import opening_lines
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import with_older_answers
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import RuleSet, Verdict
from advisor.tui.app import AdvisorApp
from tests.tui.driving import Screen


def decide(words: list[str]) -> int:
    return main(["decide", *words])


def draw(words: list[str]) -> int:
    return main(["draw", *words])


def report(words: list[str]) -> int:
    return main(["report", *words])


def sources(words: list[str]) -> int:
    return main(["sources", *words])


MARK = "invented"
ANSWERS = """vehicle: car, wheel-position: drive, tire-class: passenger, load-range: SL, construction: radial,
  tube: tubeless, retread: "no", found-pressure: 33 psi, set-pressure: 33 psi, run-low: "no", demounted: "yes",
  findings: [none], tread-depth: 8/32 in, self-supporting: "no", sealant: "no", earlier-repairs: []"""
INJURY = "injury-depth: through, injury-zone: crown, injury-size: 4 mm, injury-angle: 0 deg, inside-signs: [none]"
CASE = f"answers: {{{ANSWERS}}}\ninjuries: [{{{INJURY}}}]\n"
#: Two holes, the second at a clock position of the test.
TWO = f"""answers: {{{ANSWERS}, sidewall: P215/65R16 96H, unit-length: 40 mm, unit-width: 32 mm}}
injuries:
  - {{{INJURY}, clock: "12:00", offset: 0 mm}}
  - {{{INJURY}, clock: "CLOCK", offset: 0 mm}}
"""


@lru_cache(maxsize=2)
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def judged(name: str, case: str = CASE) -> Judgement:
    rules = rules_of(name)
    (text,) = split_cases(case, "case.yaml")
    return Judge(rules).judge(with_older_answers(read_case(text, rules, date(2026, 3, 14)), rules))


def own_texts() -> Iterator[tuple[str, str]]:
    """Every text that the shop adds or words anew, with what it belongs to."""
    shop, base = rules_of("demo-shop"), rules_of("us-road")
    for kind in ("limits", "endings", "cautions", "words", "units", "values", "sources", "questions", "methods"):
        for name, entry in getattr(shop, kind).items():
            if getattr(base, kind).get(name) != entry:
                yield f"{kind} {name}", str(entry)
    old = set(base.rulings())
    yield from ((f"ruling {ruling.id}", ruling.because) for ruling in shop.rulings() if ruling not in old)
    yield from (("about", text) for text in (shop.about.title, shop.about.scope, *shop.about.notes))


def test_every_text_and_figure_of_its_own_says_that_it_is_invented() -> None:
    taken_over = {ruling.id for ruling in rules_of("us-road").rulings()}
    limits = set(rules_of("demo-shop").limits) - set(rules_of("us-road").limits)
    for what, text in own_texts():
        ruling = what.removeprefix("ruling ")
        if ruling in taken_over or what == "values joint-cover":
            continue  # words of the base over the shop's figure, whose standing says it
        assert MARK in text.lower(), what
    assert len(limits) >= 4


@pytest.mark.parametrize(("size", "verdicts"), [("5 mm", ("repair", "repair")), ("5.1 mm", ("repair", "scrap"))])
def test_a_smaller_hole(size: str, verdicts: tuple[str, str]) -> None:
    case = CASE.replace("injury-size: 4 mm", f"injury-size: {size}")
    assert tuple(str(judged(name, case).verdict) for name in ("us-road", "demo-shop")) == verdicts


@pytest.mark.parametrize(
    ("code", "ending"),
    [("1118", ""), ("1018", "refer-shop-age"), ("cant-tell", "hold-shop-date")],
)
def test_an_age_limit_of_eight_years(code: str, ending: str) -> None:
    """On 14 March 2026: week 11 of 2018 is up to eight years ago, week 10 more."""
    case = CASE.replace("vehicle: car", f'vehicle: car, dot-code: "{code}"')
    found = judged("demo-shop", case)
    assert judged("us-road", case).verdict is Verdict.REPAIR
    assert (found.ending == ending) if ending else (found.verdict is Verdict.REPAIR)


@pytest.mark.parametrize(("clock", "verdict"), [("6:00", Verdict.REPAIR), ("12:40", Verdict.REFER)])
def test_spacing_between_repairs(clock: str, verdict: Verdict) -> None:
    assert judged("us-road", TWO.replace("CLOCK", clock)).verdict is Verdict.REPAIR
    found = judged("demo-shop", TWO.replace("CLOCK", clock))
    assert found.verdict is verdict
    assert verdict is Verdict.REPAIR or found.ending == "refer-shop-spacing"


def test_its_own_chart_names_a_unit() -> None:
    found = str(judged("demo-shop").values["chart-unit[0]"])
    assert "Demo unit L2 (invented)" in found


@pytest.mark.parametrize("command", [decide, report, draw, sources])
def test_every_face_says_so(command: object, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "case.yaml"
    file.write_text(CASE.replace("4 mm", "5.5 mm"))
    words = [str(file), "--rules", "demo-shop"]
    if command is sources:
        words = ["--rules", "demo-shop", "--audit"]
    elif command is draw:
        words = ["demo-shop"]
    assert command(words) == 0  # type: ignore[operator]
    assert "invented for the demo" in " ".join(capsys.readouterr().out.split()).lower()
    if command is decide:
        assert decide([*words, "--json"]) == 0
        answer = json.loads(capsys.readouterr().out)
        limits = [reason["limit"] for reason in answer["reasons"] if reason["limit"]]
        assert "invented for the demo" in {limit["standing"] for limit in limits}
    if command is report:
        page = tmp_path / "page.html"
        assert report([*words, "--html", str(page)]) == 0
        assert "invented for the demo" in page.read_text()


def test_the_opening_of_both_consultations_says_so() -> None:
    assert "invented for the demo" in " ".join(opening_lines(Judge(rules_of("demo-shop"))))
    app = AdvisorApp("demo-shop")

    async def run() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(500):
                if app.talk_screen.desk is not None:
                    break
                await pilot.pause(0.01)
            await pilot.pause()
            await Screen(app, pilot).press("pageup")
            assert "invented for the demo" in " ".join(Screen(app, pilot).text().split())

    asyncio.run(run())

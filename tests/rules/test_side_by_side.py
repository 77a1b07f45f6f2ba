"""One tire under three rule sets: each verdict, and where and why they part."""

from __future__ import annotations

from datetime import date

from advisor.engine.judge import Judge
from advisor.loading.case_file import read_case, split_cases
from advisor.loading.rule_set import find_rule_set, load_rule_set
from advisor.plain.side_by_side import side_by_side

CASE = """
answers: {vehicle: car, wheel-position: drive, sidewall: 205/55R16 91V, load-range: SL, construction: radial,
  tube: tubeless, retread: "no", found-pressure: 33 psi, set-pressure: 33 psi, run-low: "no", demounted: "yes",
  findings: [none], tread-depth: 5 mm, self-supporting: "no", sealant: "no", earlier-repairs: []}
injuries:
  - {injury-depth: through, injury-zone: crown, injury-size: %s, injury-angle: 0 deg, inside-signs: [none]}
"""


def lines(size: str) -> list[str]:
    judged = []
    for name in ("us-road", "uk-road", "demo-shop"):
        judge = Judge(load_rule_set(find_rule_set(name)))
        (text,) = split_cases(CASE % size, "case.yaml")
        judged.append((judge, judge.judge(read_case(text, judge.rules, date(2026, 3, 14)))))
    return side_by_side(judged)


def test_a_hole_that_only_the_shop_refuses() -> None:
    found = "\n".join(lines("5.5 mm"))
    assert "They do not agree." in found
    assert "demo-shop: scrap at 5 mm (invented for the demo)" in found
    assert "us-road: allows at 6 mm (published)" in found and "uk-road: allows at 6 mm (second-hand)" in found


def test_a_hole_that_all_allow() -> None:
    assert "They agree on verdict, method and restrictions." in lines("4 mm")

"""Every boundary case with a source of its own, judged as a case file would be."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from advisor.loader.kept_cases import kept_texts, read_kept
from advisor.loader.paths import trees_folder
from tests.laws.support import TIRES, base, judge, judged, rules
from tests.trees.boundary_table import TABLE, BadRow, Row, boundary_rows, rows_of

ROWS = boundary_rows()
FEWEST_ROWS = 70
THROUGH_THE_PROCESS = 10


def wrong(row: Row, verdict: str, method: str, restrictions: set[str], cautions: set[str]) -> list[str]:
    """What differs from the row."""
    found = []
    if verdict != row.verdict:
        found.append(f"verdict {verdict}, the row says {row.verdict}")
    if method != row.method:
        found.append(f"method {method!r}, the row says {row.method!r}")
    if restrictions != row.restrictions:
        found.append(f"restrictions {sorted(restrictions)}, the row says {sorted(row.restrictions)}")
    if lacking := row.cautions - cautions:
        found.append(f"without the cautions {sorted(lacking)}")
    return found


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_a_boundary_case_ends_as_its_source_says(row: Row) -> None:
    got = judged(row.data)
    assert not wrong(row, str(got.verdict), got.method, set(got.restrictions), set(got.cautions)), row


def test_the_command_says_the_same_of_cases_spread_over_the_table() -> None:
    chosen = ROWS[:: len(ROWS) // THROUGH_THE_PROCESS][:THROUGH_THE_PROCESS]
    lines = "\n".join(json.dumps(row.data) for row in chosen)
    command = [sys.executable, "-m", "advisor", "decide", "--json", "-"]
    done = subprocess.run(command, input=lines, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(answers) == len(chosen) == THROUGH_THE_PROCESS
    for row, got in zip(chosen, answers, strict=True):
        cautions = {caution["id"] for caution in got["cautions"]}
        assert not wrong(row, got["verdict"], got["method"] or "", set(got["restrictions"]), cautions), row


@pytest.mark.parametrize("tire", TIRES)
def test_each_base_case_is_a_plain_repair(tire: str) -> None:
    got = judged(base(tire))
    assert (str(got.verdict), got.method, got.restrictions, got.missing) == ("repair", "one-piece", (), ())


def test_the_table_is_large_and_of_one_mind() -> None:
    assert len(ROWS) >= FEWEST_ROWS
    said: dict[str, tuple[str, str]] = {}
    for row in ROWS:
        key = json.dumps(row.data, sort_keys=True)
        outcome = (row.verdict, row.method)
        assert said.setdefault(key, outcome) == outcome, f"{row.case} contradicts another row"


def test_every_ruling_that_decides_or_restricts_is_met_by_a_row_or_a_kept_case() -> None:
    questions = {ruling.id for ruling in rules().rulings() if ruling.doubts}
    kept = (judge().judge(read_kept(text, rules())) for text in kept_texts(trees_folder() / "us-road"))
    reasons = [reason for judgement in kept for reason in judgement.reasons]
    met = {reason.ruling for reason in reasons if not reason.doubt or reason.ruling in questions}
    decides = {ruling.id for ruling in rules().rulings() if not ruling.only_warns}
    assert decides <= met, f"no case meets {sorted(decides - met)}"


#: What passes on the figure itself, by the sources that the table names. What is not here is held by the cases beside
#: the rules: `--coverage` wants one at the figure of each limit.
PASSES_AT = {
    "carrier-weight",
    "nail-hole-size-light",
    "nail-hole-size-truck",
    "one-piece-angle",
    "tread-steer",
    "bead-cut-depth",
    "repair-bulge-height",
    "length-over-width",
    "pressure-far-above",
    "set-least-light",
    "set-least-truck",
    "set-most-light-truck",
    "set-most-passenger",
    "set-most-truck",
    "tread-new-light",
    "tread-new-truck",
}
FAILS_AT = {
    "tread-floor",
    "tread-floor-light",
    "sidewall-cut-depth",
    "run-low-share",
    "regrooved-front-load",
    "repair-units-apart",
}


@pytest.mark.parametrize("name", sorted(PASSES_AT | FAILS_AT))
def test_a_deciding_limit_knows_what_its_own_figure_means(name: str) -> None:
    limit = rules().limits[name]
    for figure in limit.figures:
        assert limit.is_beyond(figure) is (name in FAILS_AT)


HEAD = "case,about,base,changes,verdict,method,restrictions,cautions,source,clause,standing,why\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HEAD + "a,b,passenger,{},repair,,,,,clause,published,why\n", "nothing under source"),
        (HEAD + "a,b,passenger,{},repair,,,,source,,published,why\n", "no clause"),
        (HEAD + "a,b,passenger,{},repair,,,,source,c,certain,why\n", "under standing"),
        (HEAD + "a,b,passenger,{},pass,,,,source,c,published,why\n", "under verdict"),
        (HEAD + "a,b,boat,{},repair,,,,source,c,published,why\n", "under base"),
        (HEAD + "a,b,passenger,{},hold,,,,s,c,published,w\n" * 2, "stands twice"),
        ("case,about\n", "columns"),
    ],
)
def test_a_row_that_does_not_say_who_says_so_is_refused(text: str, says: str) -> None:
    with pytest.raises(BadRow, match=says):
        rows_of(text)


def test_no_row_names_a_file_or_a_working_id_as_its_source() -> None:
    text = TABLE.read_text(encoding="utf-8")
    for row in ROWS:
        assert not row.source.endswith((".md", ".yaml")), row
        assert len(row.source) > len("49 CFR 393"), row
    assert "../" not in text

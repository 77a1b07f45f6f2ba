"""The report's page in a real browser: on A4 and Letter, on a phone, under its own policy, and by axe-core.

Runs where a Chromium is installed and axe-core is: where node finds it, or ADVISOR_AXE names its file.
"""

from __future__ import annotations

import pytest

from advisor.report.html import report_page
from advisor.work.progress import Work
from advisor.work.record_model import report_of
from tests.report import browser
from tests.report.test_report import HOSTILE, PLACED
from tests.work.work_support import judge_of, judged

AXE = browser.axe_script() if browser.browser() else None
pytestmark = pytest.mark.skipif(
    AXE is None, reason="no Chromium, or no axe-core: npm install axe-core, or name its axe.min.js in ADVISOR_AXE"
)
#: ISO 216 A4 and ANSI/ASME Y14.1 A (Letter) in points of 1/72 in.
PAPERS = {"A4": (595, 842), "letter": (612, 792)}


@pytest.fixture(scope="module", params=["repair", "two injuries", "refusal"])
def text(request: pytest.FixtureRequest) -> str:
    """A page: a repair with everything on it, two injuries, or a refusal with a name that would break a page."""
    if request.param == "two injuries":
        far = {**PLACED, "clock": '"8:00"', "injury-angle": "30 deg"}
        return report_page(
            [report_of(judged({"unit-length": "40 mm", "unit-width": "40 mm"}, PLACED, far), judge_of())]
        )
    if request.param == "repair":
        return report_page(
            [report_of(judged({}, PLACED, rules="demo-shop"), judge_of("demo-shop"), "one.yaml", "A. Demo")]
        )
    judgement = judged({"findings": "[exposed-cord]"}, PLACED)
    return report_page([report_of(judgement, judge_of(), HOSTILE, HOSTILE, Work().noted(HOSTILE, None, None))])


@pytest.mark.parametrize("paper", PAPERS)
def test_it_prints_and_the_tear_off_stays_whole(text: str, paper: str) -> None:
    pdf = browser.printed(text, paper)
    assert browser.sizes_of(pdf) == {PAPERS[paper]}
    pages = browser.pages_of(pdf)
    if pages is None:
        pytest.skip("no pdftotext to read the pages with")
    assert 2 <= len(pages) <= 11
    (driver,) = [each for each in pages if "For the driver (tear off)" in each]
    assert driver == pages[0], "all that the driver and the next technician need is on one page"
    assert all(part in driver for part in ("Signature:", "What was found", "What to do now", "Where it stands"))
    assert pages[1].lstrip().startswith("Annex")


def test_nothing_sticks_out_on_a_phone(text: str) -> None:
    assert browser.too_wide(text, 390) == []
    assert browser.too_wide(text.replace("</h1>", '</h1><p style="width: 900px">x</p>', 1), 390), "the check can fail"


def test_the_policy_lets_the_page_be(text: str) -> None:
    assert browser.complaints(text) == []
    assert browser.complaints(text.replace("</h1>", "</h1><script>document.title = 1</script>", 1)), (
        "the check can fail"
    )


def test_axe_finds_nothing_serious(text: str) -> None:
    assert AXE is not None
    assert browser.serious_findings(text, AXE) == []
    broken = text.replace('<html lang="en">', "<html>", 1)
    assert browser.serious_findings(broken, AXE), "the check can fail"

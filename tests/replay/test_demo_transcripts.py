"""The demo transcripts replay clean, cover what a reader should meet, and hold nothing but invented matter."""

from __future__ import annotations

import re
from datetime import date

import pytest

from advisor.console.replaying import INVENTED, played, transcript_difference
from tests.replay.support import FILES, NAMES, judge, play, transcript

#: Each transcript with the verdicts that it comes to, in order, and the method and restrictions at its end.
OUTCOMES: dict[str, tuple[list[str], str, tuple[str, ...]]] = {
    "01-nail-in-the-crown": (["repair"], "one-piece", ()),
    "02-slanting-screw": (["repair"], "two-piece", ()),
    "03-scrape-in-the-rubber": (["repair"], "spot-repair", ()),
    "04-scrape-too-deep": (["scrap"], "", ()),
    "05-hole-too-large": (["refer"], "section-repair", ("not-steer-axle",)),
    "06-worn-steer-tire": (["repair"], "one-piece", ("not-steer-axle",)),
    "07-bus-retread-in-front": (["repair"], "one-piece", ("not-steer-axle",)),
    "08-doubtful-shoulder-car": (["scrap"], "", ()),
    "09-doubtful-shoulder-truck": (["refer"], "section-repair", ("not-steer-axle",)),
    "10-changed-answer": (["repair", "refer"], "section-repair", ("not-steer-axle",)),
    "11-newcomers-why": (["scrap"], "", ()),
    "12-run-low": (["hold", "repair"], "one-piece", ()),
    "13-measure-again": (["hold", "repair"], "one-piece", ()),
    "14-wrong-input": (["repair"], "one-piece", ()),
    "15-earlier-repair-not-sound": (["scrap"], "", ()),
    "16-two-holes-and-an-old-repair": (["repair", "refer"], "", ()),
    "17-input-ends-in-the-middle": (["hold"], "", ()),
    "18-worn-trailer-tire": (["refer"], "", ()),
    "19-made-to-run-without-air": (["refer"], "", ()),
    "20-sealant-inside": (["hold", "repair"], "one-piece", ()),
    "21-rust-at-the-cords": (["refer"], "section-repair", ("not-steer-axle",)),
    "22-bulge-over-a-mark": (["repair"], "one-piece", ()),
    "23-a-cut-not-a-hole": (["scrap"], "", ()),
    "24-across-the-valve-drawn": (["repair", "refer"], "", ()),
    "31-a-whole-job": (["repair"], "two-piece", ()),
    "32-scrap-at-the-drilling": (["repair", "scrap"], "", ()),
    "33-three-temperatures": (["repair"], "two-piece", ()),
    "25-said-in-a-hurry": (["repair"], "one-piece", ()),
    "26-a-newcomers-fifteen-questions": (["repair"], "one-piece", ()),
    "27-no-the-steer-axle": (["repair"], "one-piece", ("not-steer-axle",)),
    "28-about-a-quarter-turn": (["repair"], "two-piece", ()),
    "29-two-injuries-in-one-sentence": (["scrap"], "", ()),
    "30-a-refusal-explained": (["refer"], "section-repair", ("not-steer-axle",)),
    "34-a-german-puncture": (["repair"], "one-piece", ()),
    "35-a-motorcycle-in-germany": (["repair", "scrap"], "", ()),
    "38-a-job-from-demounted-to-the-road": (["repair"], "one-piece", ()),
    "39-a-slanting-hole-dried-too-early": (["repair", "refer", "repair"], "two-piece", ()),
    "40-refused-at-the-drilling": (["repair", "refer"], "section-repair", ("not-steer-axle",)),
    "41-what-decides-first": (["scrap"], "", ()),
    "42-a-nail-in-four-lines": (["repair"], "one-piece", ()),
    "43-fifteen-questions-on-a-nail": (["repair"], "one-piece", ()),
    "44-fifteen-questions-on-a-shoulder": (["refer"], "section-repair", ("not-steer-axle",)),
    "45-fifteen-questions-on-a-flat": (["scrap"], "", ()),
}


@pytest.mark.parametrize("name", NAMES)
def test_says_the_same(name: str) -> None:
    found = transcript_difference(transcript(name), played(transcript(name), judge(transcript(name).rules)))
    assert not found, "advisor replay --write renews it, once the change is meant:\n" + "\n".join(found)


@pytest.mark.parametrize("name", NAMES)
def test_comes_to_the_verdict_that_its_scenario_tells(name: str) -> None:
    done = play(name)
    assert (done.verdicts, done.last.method or "", done.last.restrictions) == OUTCOMES[name]


@pytest.mark.parametrize("name", NAMES)
def test_answers_are_understood(name: str) -> None:
    """Only wrong input, and a question about the weather, hold lines that can't be read; two hold dates past."""
    past = ("38-a-job-from-demounted-to-the-road", "39-a-slanting-hole-dried-too-early")
    assert bool(play(name).kept) is (name in ("14-wrong-input", "43-fifteen-questions-on-a-nail", *past))


def test_every_verdict_and_every_method() -> None:
    ends = [end for name in NAMES for end in play(name).ends]
    assert {str(end.verdict) for end in ends} == {"repair", "refer", "hold", "scrap"}
    assert {end.method for end in ends if end.method} == set(judge().rules.methods)
    assert set(judge().rules.methods) >= {"one-piece", "two-piece", "spot-repair", "section-repair"}


def test_steer_axle_case() -> None:
    done = play("06-worn-steer-tire")
    assert (done.said("vehicle"), done.said("wheel-position")) == ("truck", "steer")
    assert str(done.last.verdict) == "repair" and done.last.restrictions == ("not-steer-axle",)


def test_bus_retread_in_front() -> None:
    done = play("07-bus-retread-in-front")
    assert [done.said(question) for question in ("vehicle", "wheel-position", "retread")] == [
        "bus",
        "steer",
        "recapped",
    ]
    assert str(done.last.verdict) == "repair" and "not-steer-axle" in done.last.restrictions


def test_doubtful_shoulder_counts_as_shoulder_by_class() -> None:
    car, truck = play("08-doubtful-shoulder-car"), play("09-doubtful-shoulder-truck")
    assert (str(car.last.verdict), str(truck.last.verdict)) == ("scrap", "refer")
    for done in (car, truck):
        assert done.last.measure_again, "the doubt that decides is named"


def test_changed_answer_keeps_all_others() -> None:
    done = play("10-changed-answer")
    assert any(text.startswith("change ") for text in done.typed)
    assert (len(done.ends), done.last.missing) == (2, ()), "no other answer was lost"
    assert "That changed what counts." in "\n".join(done.transcript.body) or len(set(done.verdicts)) > 1


def test_newcomer_asks_in_every_way() -> None:
    typed = play("11-newcomers-why").typed
    for asked in ("help", "how", "why ask", "why"):
        assert asked in typed
    assert sum(text.startswith("what is") for text in typed) >= 4


def test_run_low_is_held_until_demounted_and_then_goes_on() -> None:
    done = play("12-run-low")
    assert [str(end.verdict) for end in done.ends] == ["hold", "repair"]
    assert done.said("run-low") == "yes" and done.said("demounted") == "yes"


def test_doubtful_measure_is_held_and_measured_again() -> None:
    first, last = play("13-measure-again").ends[0], play("13-measure-again").last
    assert str(first.verdict) == "hold" and ("injury-size", 0) in first.measure_again
    assert not last.measure_again


def test_wrong_input_changes_nothing() -> None:
    done = play("14-wrong-input")
    assert len(done.kept) >= 12 and all(done.kept)


def test_earlier_repair_not_sound_can_be_stopped_at() -> None:
    done = play("15-earlier-repair-not-sound")
    assert done.said("repair-sound", "earlier-repairs", 0) == "no"
    assert done.last.settled and done.typed[-1] == "stop"


def test_units_are_kept_apart_across_twelve_o_clock() -> None:
    done = play("16-two-holes-and-an-old-repair")
    assert len(done.last.injuries) == 2
    apart, touching = (end.values["nearest-repair"] for end in (done.ends[0], done.last))
    assert apart.low > 0 >= touching.high
    assert {"11:40", "0:20", "11:50"} <= set(done.typed)


def test_end_of_input_in_the_middle() -> None:
    done = play("17-input-ends-in-the-middle")
    assert done.last.missing and not done.last.settled
    assert "The input ended here. As things stand:" in done.transcript.body


def test_worn_trailer_tire_self_supporting_and_sealant() -> None:
    worn, stiff, sealed = (play(name) for name in NAMES[17:20])
    assert worn.said("vehicle") == "trailer" and any("2/32" in text for text in worn.typed)
    assert stiff.said("self-supporting") == "yes" and str(stiff.last.verdict) == "refer"
    assert str(sealed.ends[0].verdict) == "hold" and sealed.said("sealant") == "no"


def test_scrape_of_rubber_only_and_one_too_deep() -> None:
    for name, verdict in (("03-scrape-in-the-rubber", "repair"), ("04-scrape-too-deep", "scrap")):
        done = play(name)
        assert done.said("injury-depth", "injuries", 0) == "rubber-only"
        assert done.said("injury-zone", "injuries", 0) == "sidewall"
        assert str(done.last.verdict) == verdict


@pytest.mark.parametrize("name", NAMES)
def test_is_invented_readable_and_stable(name: str) -> None:
    text = next(file for file in FILES if file.stem == name).read_text(encoding="utf-8")
    header, body = transcript(name).header, "\n".join(transcript(name).body)
    assert any(line.startswith(f"{INVENTED}: ") for line in header)
    assert "Van Heron" in " ".join(header) or "Van Plover" in " ".join(header)
    assert f"DEMO-1{name[:2]}" in " ".join(header).replace("\n", " ")
    assert text.endswith("\n") and not re.search(r"[ \t]+$|\r|[\x00-\x08\x0b-\x1f\x7f]", text, re.MULTILINE)
    assert max(map(len, text.splitlines())) <= 79
    dates = {date.fromisoformat(found) for found in re.findall(r"\b\d{4}-\d\d-\d\d\b", body)}
    assert all(found <= transcript(name).today for found in dates), (
        "a date code's week is past; the clock's date is not"
    )
    assert not re.search(r"(?<!\w)/(?:home|root|usr|tmp|work|opt|etc|var)/|[A-Z]:\\", text), "an absolute path"
    assert not re.search(r"\b[0-9a-f]{16}\b|\d+\s*[x×]\s*24\b", body), "a digest, or a terminal's size"


def test_names_are_numbered_and_enough() -> None:
    assert len(NAMES) >= 14 and set(NAMES) == set(OUTCOMES)
    assert [file.stem[:3] for file in FILES] == [f"{number:02}-" for number in range(1, len(FILES) + 1)]
    assert any("Lantern Road Tire Service" in " ".join(transcript(name).header) for name in NAMES)

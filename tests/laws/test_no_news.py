"""A clean line with a harmless phrase leaves the card of a repair as it is; its bad sibling stands there.

Each is typed where its question is put, in a consultation that else ends in a plain repair.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.dialogue.no_news import in_bare_words, is_no_news
from advisor.dialogue.not_counted import LAID_ASIDE
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Problems
from advisor.model.ruleset import Verdict
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.what_weighs import weighs
from tests.laws.ledger import judge_of
from tests.laws.talking import CAR, TRUCK, said_where_asked
from tests.whole_rules import whole_copy

pytestmark = pytest.mark.free_order

EUROPEAN = CAR | {"sidewall": "205/55R16 91V TUBELESS", "tread-depth": "5 mm", "found-pressure": "33 psi"}
GERMAN = EUROPEAN | {"found-pressure": "2.3 bar", "set-pressure": "2.4 bar"}
TIRES = {
    "car": ("us-road", CAR),
    "truck": ("us-road", TRUCK | {"dot-code": "2322"}),
    "uk": ("uk-road", EUROPEAN),
    "de": ("de-road", GERMAN),
}

CLEAN = """
car | findings | nothing, looks fine all round
car | findings | none, thanks
car | findings | none, checked under the lamp
truck | findings | none. Looked all the way round with a flashlight
truck | findings | none, no cuts, no bulges
truck | findings | nothing, casing is sound
uk | findings | none, tidy tyre
uk | findings | none, wiped it down first
truck | findings | none, ran my hand round the inside
car | inside-signs | none, clean hole
truck | inside-signs | nothing, looked with a mirror
uk | inside-signs | none, wires clean, liner sound
car | inside-signs | none, no rust at all
truck | inside-signs | none, felt round it with my thumb
car | demounted | yes, off the wheel and checked inside and out
car | demounted | off, had a good look at the beads, they are fine
uk | demounted | yes, stripped and checked both beads
uk | demounted | off, had the lamp inside
car | sealant | no sealant, dry as a bone inside
truck | sealant | no, looked inside with a light
car | sealant | no, nothing in there
truck | run-low | no, driver caught it early on the gauge
truck | run-low | no, pre-trip inspection found it
truck | tread-depth | 12/32 in, even wear
truck | tread-depth | 12/32 in, both sides the same
car | tread-depth | 7/32 in with a depth gauge
car | tread-depth | 7/32, measured in three places
uk | tread-depth | 5 mm across the lot
uk | tread-depth | 5 mm, plenty left
truck | injury-size | 6 mm, measured with the probe
truck | injury-size | 6 mm, ordinary nail
car | injury-size | 4 mm across with calipers
uk | injury-size | 4 mm, small screw
uk | injury-size | 4 mm after taking the screw out
truck | injury-angle | 10 degrees with the awl
truck | injury-zone | crown, dead center of the tread
car | injury-zone | crown, measured with a tape
truck | more-injuries | no more holes, I soaped the whole thing
car | more-injuries | no, dunked it in the tank
truck | earlier-repairs | none, looked all round the liner
car | earlier-repairs | none, liner has no patches
truck | dot-code | 2322, no weather cracking
uk | dot-code | 1024, no perishing
car | found-pressure | 34 psi on my gauge
uk | set-pressure | 33 psi, from the door sticker
truck | wheel-position | drive axle, left side
car | after | thanks, good tire otherwise
uk | after | right, rest of the tyre is sound
truck | work | buffed clean, no steel showing
de | findings | nichts
de | findings | nichts, Reifen ist sauber
de | findings | none, innen trocken und sauber
de | inside-signs | none, alles sauber
de | inside-signs | keine, Innenseite sauber
de | inside-signs | none, kein Rost
de | run-low | nein
de | run-low | nein, gleich angehalten
de | demounted | ja, innen und aussen geprüft
de | tread-depth | 5 mm everywhere
de | tread-depth | 5 mm überall
de | injury-size | 4 mm, mit der Lehre gemessen
de | found-pressure | 2.3 bar, kalt gemessen
de | after | danke, alles klar
"""
BAD = """
car | findings | nothing, looks fine all round apart from the split | split
car | findings | none, thanks, apart from the chew | chew
car | findings | none under the lamp, wobbly at one edge | wobbly
truck | findings | none. Looked halfway round with a flashlight | half
truck | findings | nothing, casing is hot | hot
uk | findings | nothing to report, soft casing | soft
uk | findings | none, wiped it down first, one gribbled spot | gribbled
truck | findings | none, ran my hand round the inside, felt a ridge | ridge
car | inside-signs | none, ragged hole | ragged
truck | inside-signs | nothing, looked with a mirror, fibers up | fibers
uk | inside-signs | none, all flaky inside | flaky
car | demounted | yes, off the wheel and half checked | half
uk | demounted | yes, off and not inspected | not
uk | demounted | off, had no lamp for the inside | lamp
car | sealant | no, sticky inside | sticky
truck | sealant | no, looked inside with a light, wet | wet
car | earlier-repairs | none, liner has patches | patches
truck | run-low | no, driver limped it to the fuel stop | limped
truck | tread-depth | 12/32 in, uneven wear | uneven
uk | tread-depth | 5 mm across the lot, chunks missing | chunks
truck | injury-size | 6 mm, measured with the probe, goes in under the belt | under
truck | injury-size | 6 mm, ordinary nail, ripped sideways | ripped
uk | injury-size | 4 mm on the vernier, 12 lower down | 12
truck | injury-zone | crown, dead center of the tread to the edge | edge
truck | injury-zone | crown, right at the edge | edge
car | more-injuries | no, dunked it in the tank, bubbles at the valve | bubbles
truck | dot-code | 2322, no weather cracking, gone hard | hard
truck | found-pressure | 104 psi with the shop gauge, dropping fast | dropping
uk | set-pressure | 33 psi, from the door sticker, customer runs 15 | 15
truck | wheel-position | drive axle, left side, mate rubbing | rubbing
car | after | thanks, gribbled at one edge | gribbled
truck | after | rest of it is mush | mush
de | findings | none, alles rissig | rissig
de | findings | none, innen feucht | feucht
de | inside-signs | none, Rest bröselig | bröselig
de | run-low | nein, nur kurz | kurz
de | demounted | ja, halb | halb
de | tread-depth | 5 mm überall, Schulter glatt | glatt
de | injury-size | 4 mm, mit der Lehre gemessen, innen breiter | breiter
"""


def _lines(table: str) -> list[list[str]]:
    return [[each.strip() for each in line.split(" | ")] for line in table.strip().splitlines()]


@pytest.mark.parametrize(("tire", "question", "said"), _lines(CLEAN))
def test_a_clean_line_leaves_no_notice(tire: str, question: str, said: str) -> None:
    rules, answers = TIRES[tire]
    card = said_where_asked(answers, question, said, rules, in_order=question == "dot-code").card()
    assert (card.verdict, card.short.do_now[0]) == (Verdict.REPAIR, "Work through the steps in order.")


@pytest.mark.parametrize(("tire", "question", "said", "word"), _lines(BAD))
def test_its_bad_sibling_stands_on_the_card(tire: str, question: str, said: str, word: str) -> None:
    rules, answers = TIRES[tire]
    card = said_where_asked(answers, question, said, rules, in_order=question == "dot-code").card()
    assert card.verdict is Verdict.REPAIR and word.casefold() in card.short.do_now[0].casefold()


def _after(first: str, *lines: str) -> Consultation:
    """What comes of lines typed behind a plain repair."""
    consultation = said_where_asked(CAR, "after", first)
    for line in lines:
        say(consultation, line)
    return consultation


@pytest.mark.parametrize("said", ["first one of the day and i have had no coffee", "note boss wants it by noon, crown"])
def test_the_technician_lays_aside_what_is_no_news_and_the_record_has_it(said: str) -> None:
    before, after = _after(said), _after(said, "no news")
    assert said.removeprefix("note ") in before.card().short.do_now[0]
    assert after.card().short.do_now[0] == "Work through the steps in order."
    assert f"{LAID_ASIDE}{said.removeprefix('note ')}" in after.notes
    assert said.removeprefix("note ") in _after(said, "no news", said).card().short.do_now[0]


def test_what_names_something_bad_is_not_laid_aside() -> None:
    card = _after("rest of it is mush", "rest of it has a bulge", "no news").card()
    assert "has a bulge" in card.short.do_now[0] and "mush" not in card.short.do_now[0]
    asked = _after("theres a bulge, is that ok?", "no news")
    assert asked.card().verdict is not Verdict.REPAIR or "bulge" in asked.card().short.do_now[0]


#: Of these some frames make good news; only of a wheel's place is outer said.
GOOD_TOO = frozenset(
    {"dry", "outer", "outside", "trocken", "both", "beide", "sidewall", "seitenwand", "wulst", "shoulder"}
)
FRAMES = (
    "{}", "a {}", "liner has {}", "it is {}", "{} in the sidewall", "sidewall {}", "with {}", "checked {}", "has {}",
    "the {} is there", "good and {}", "found {}", "{} bead", "had the {}", "looked at {}", "tire is {}", "{} inside",
    "some {}", "no gauge {}", "not good {}", "measured {}", "all {}", "no rust at all {}",
)  # fmt: skip
DOUBTS = (
    "but", "except", "apart", "only", "maybe", "not", "nobody", "half", "almost", "some", "until", "before", "two",
    "3", "14", "gribbled", "nur", "ausser", "vielleicht", "halb", "think", "rim", "below", "was",
)  # fmt: skip


@pytest.mark.parametrize(
    "said",
    [
        "tread is smooth", "smooth tread", "tire is solid", "sidewall dry", "nail in the sidewall", "no good",
        "no tread", "cord in the hole", "looked at it from the outside", "never inspected",
        "clean cut", "had water inside",
    ],
)  # fmt: skip
def test_good_words_of_the_wrong_thing_are_news(said: str) -> None:
    assert not is_no_news(said, judge_of("us-road").rules.phrases)


@pytest.mark.parametrize(
    "said",
    ["sun out at last", "apprentice on the phone to the bank", "solution has gone off nice and tacky",
     "stitched the patch from the center to the edges", "gloves on", "hold on a tick", "the radio and the kettle",
     "she'll be happy with that", "using a slow speed buffer", "measured with the end of a caliper"],
)  # fmt: skip
def test_what_stands_beside_the_tire_does_not_weigh(said: str) -> None:
    assert not weighs(said, judge_of("us-road").rules.phrases)


@pytest.mark.parametrize(
    "said",
    ["it hums", "fibres all over", "a gribbled thing", "liner is mush", "patch won't stick to the cement",
     "cement has gone to jelly", "stitched the patch but one edge", "thingumajig in there", "one spot of gloop",
     "heard it whistle", "sepration at teh belt", "smells of diesel", "the boss reckons it ran flat", "mush",
     "three of them", "torque wrench 80", "radio says 5", "kettle?"],
)  # fmt: skip
def test_what_may_be_of_the_tire_weighs(said: str) -> None:
    assert weighs(said, judge_of("us-road").rules.phrases)


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
def test_no_word_of_bad_news_or_of_doubt_is_ever_no_news(name: str) -> None:
    phrases = judge_of(name).rules.phrases
    runs, kinds = part_runs_of(phrases), ("well", "absent", "of-figure", "of-injury", "of-wheel", "first")
    words = {*phrases.telling, *DOUBTS} - GOOD_TOO
    said = [frame.format(word) for frame in FRAMES for word in sorted(words)]
    assert len(said) > 1000 and [each for each in said if runs.made_up(each, *kinds)] == []


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('    - "@courtesy"\n', '    - "@courtsey"\n', "unknown-name"),
        ("  of-wheel:\n", "  of-wheels:\n", "unknown-word"),
        ("bare:\n  none:", "bare:\n  nothing:", "unknown-word"),
    ],
)
def test_a_misfit_in_the_runs_of_parts_is_a_problem_with_a_place(
    old: str, new: str, problem: str, tmp_path: Path
) -> None:
    path = whole_copy(tmp_path / "us-road") / "phrases.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(Problems) as raised:
        load_rule_set(path.parent)
    found = {each.id: each.place.file for each in raised.value.problems}
    assert found[problem].endswith("phrases.yaml")


def test_a_second_language_is_added_in_the_phrases_alone(tmp_path: Path) -> None:
    """Three words of a made-up one: a yes, and what a tire is that is well."""
    folder = whole_copy(tmp_path / "us-road")
    path = folder / "phrases.yaml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("bare:\n", 'bare:\n  "no": [blorp]\n', 1).replace(
        '    - "@courtesy"\n', '    - "wibo zall"\n', 1
    )
    path.write_text(text, encoding="utf-8")
    phrases = load_rule_set(folder).phrases
    assert in_bare_words("Blorp, wibo zall", phrases) == "no, wibo zall" and is_no_news("blorp zall", phrases) is False
    assert is_no_news("wibo zall, none", phrases) and not is_no_news("wibo zall, gribbled", phrases)
    assert not is_no_news("wibo zall", load_rule_set(find_rule_set("us-road")).phrases)

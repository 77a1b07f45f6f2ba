"""What was said outright and what was not: a table and frames round every finding, through `advisor hear`."""

import csv
import io
import json
import re
import sys
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import pytest

from advisor.cli import main
from advisor.loader.case_file import read_case, split_cases
from tests.dialogue.talk_cases import BASE, DAY, INJURY, judge

ROOT = Path(__file__).resolve().parent.parent.parent
TABLE = ROOT / "tests" / "tables" / "said_and_not_said.csv"
RULES = ("us-road", "uk-road")
LISTS = ("findings", "inside-signs")
REPAIRS = "earlier-repairs"


@lru_cache(maxsize=1)
def rows():
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def hear_all(sentences, rules="us-road"):
    """What `advisor hear - --json` prints for sentences, one a line."""
    stdin, stdout = sys.stdin, sys.stdout
    sys.stdin = SimpleNamespace(buffer=io.BytesIO("\n".join(sentences).encode()))
    sys.stdout = io.StringIO()
    try:
        assert main(["hear", "-", "--json", "--rules", rules]) == 0
        printed = sys.stdout.getvalue()
    finally:
        sys.stdin, sys.stdout = stdin, stdout
    return [json.loads(line) for line in printed.splitlines()]


def atoms(part):
    """Answers as single statements: `bulge=absent`, `sealant=no`, `injury-size=5 mm`."""
    found = set()
    for answers in (part["answers"], *part["injuries"]):
        for name, written in answers.items():
            if name in LISTS and isinstance(written, dict):
                found |= {f"{each}=present" for each in written.get("present", ())}
                found |= {f"{each}=absent" for each in written.get("absent", ())}
            elif name in LISTS and written == ["none"]:
                found.add(f"{name}=none")
            elif name == REPAIRS:
                found.add(f"{name}={'no' if written == [] else 'yes'}")
            else:
                found.add(f"{name}={written}")
    return found


def listed(text):
    return re.split(r"; | (?=[\w-]+=)", text) if text else []


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("group", sorted({row["group"] for row in rows()}))
def test_the_table(rules, group):
    wrong = {}
    own = [row for row in rows() if row["group"] == group]
    for row, heard in zip(own, hear_all([row["sentence"] for row in own], rules), strict=True):
        said = atoms(heard)
        never = listed(row["never says"])
        found = [f"lacks {each}" for each in listed(row["says"]) if each not in said]
        found += [f"says {each}" for each in never if each in said or (each == "answers" and said)]
        doubt = row["in doubt"]
        asked = {ask["id"] for ask in heard["asks_back"]}
        if doubt and doubt not in asked and f"{doubt}=cant-tell" not in said:
            found.append(f"loses {doubt}")
        if found:
            wrong[row["sentence"]] = found
    assert len(own) >= 10
    assert wrong == {}


PLAIN = ("no {thing}", "there is no {thing}", "no {thing} anywhere", "looked all over, no {thing}")
#: Words about a thing that never deny it outright, whatever it is.
FRAMES = (
    "no triangle by the {thing}",
    "no dirt on the {thing}",
    "no air left under this {thing}",
    "never saw the {thing} before",
    "didn't notice the {thing} until now",
    "no wonder there's {thing}",
    "no doubt it has {thing}",
    "can't explain that {thing}",
    "nobody told me about the {thing}",
    "not only {thing} but worse",
    "hopefully no {thing}",
    "i think no {thing}",
    "probably no {thing}",
    "supposedly no {thing}",
    "no {thing} i guess",
    "should be no {thing}",
    "as far as i know no {thing}",
    "i don't think there's {thing}",
    "no {thing}, i think",
    "no {thing}, but i'm not sure",
    "didn't see any {thing} but i didn't look",
    "can't see any {thing} in this light",
    "haven't looked for {thing}",
    "no {thing}, but i haven't looked",
    "driver says no {thing}",
    "boss swears there's no {thing}",
    "no {thing}, says the customer",
    "i was told there is no {thing}",
    "no {thing} on the other tire",
    "there was no {thing} last month",
    "if there's no {thing} we fix it",
    "make sure there's no {thing}",
    "no {thing}?",
    "is there no {thing}",
    "does no {thing} mean it is fine",
    "maybe no {thing}",
    "no blorpy {thing}",
    "no blorp {thing}",
    "no {thing} glorp",
    "no blorp of {thing}",
    "no {thing}, no wait, there is",
    "i doubt there's any {thing}",
)
HEDGED = (
    "hopefully no {thing}",
    "no {thing}, i think",
    "driver says no {thing}",
    "can't see any {thing} in this light",
)


def finding_words():
    """Every phrase of the lexicon that gives a finding, and the words for what only helps when it is denied."""
    phrases = judge().rules.phrases
    found = {}
    for how in ("said", "denied"):
        for phrase, gives in phrases.says.get(how, {}).items():
            question, choice = gives[0]
            plain = "..." not in phrase and len(phrase.split()) <= 2
            if question in ("findings", "inside-signs", "sealant", REPAIRS) and choice not in ("none", "no") and plain:
                found[phrase] = (question, choice)
    return found


def helped(heard, question, choice):
    """Whether a plain answer says that a thing is not there."""
    said = atoms(heard)
    return f"{choice}=absent" in said or f"{question}=none" in said or f"{question}=no" in said


def test_no_frame_but_a_plain_denial_gives_absent():
    words = finding_words()
    assert len(words) > 100
    asked = [(frame.format(thing=word), given) for frame in FRAMES for word, given in words.items()]
    wrong = [
        sentence
        for (sentence, given), heard in zip(asked, hear_all([each for each, _ in asked]), strict=True)
        if helped(heard, *given)
    ]
    assert len(asked) > 4000
    assert wrong == []


def test_a_plain_denial_still_gives_absent():
    """Else the frames above would prove nothing."""
    nouns = [word for word in finding_words() if len(word.split()) == 1 and word.endswith(("s", "n", "e", "t", "y"))]
    asked = [(frame.format(thing=word), finding_words()[word]) for frame in PLAIN for word in nouns]
    heard = hear_all([each for each, _ in asked])
    right = sum(helped(each, *given) for (_, given), each in zip(asked, heard, strict=True))
    assert right >= 0.8 * len(asked)


def verdict_of(answers, injury):
    text = json.dumps({"answers": answers, "injuries": [injury]})
    return judge().judge(read_case(next(split_cases(text, "a test")), judge().rules, DAY)).verdict


def test_what_is_heard_hedged_never_judges_better_than_unknown():
    """The heard case completed with an otherwise sound one, against the same with that answer left out."""
    words = {word: given for word, given in finding_words().items() if len(word.split()) == 1}
    asked = [(frame.format(thing=word), given) for frame in HEDGED for word, given in words.items()]
    compared = 0
    for (sentence, (question, _)), heard in zip(asked, hear_all([each for each, _ in asked]), strict=True):
        over_tire = question in BASE
        base = {name: value for name, value in BASE.items() if name != question}
        injury = {name: value for name, value in INJURY.items() if name != question}
        unknown = verdict_of(base, injury)
        own = heard["injuries"][0] if heard["injuries"] else {}
        then = verdict_of({**base, **heard["answers"]}, {**injury, **own})
        assert then >= unknown, (sentence, over_tire, str(then), str(unknown))
        compared += 1
    assert compared > 100


def test_a_doubtful_length_stays_in_the_printed_case(capsys):
    assert main(["hear", "cut in the crown, 3 mm wide, hole maybe 300 mm long"]) == 0
    printed = capsys.readouterr().out
    assert 'injury-length: "cant-tell"' in printed
    assert "may have heard, not counted: injury-length" in printed


@pytest.mark.parametrize(
    ("sentence", "says"),
    [
        ("bolt through the crown, 5/16 hole, about 20 deg, only hole", "injury-size=5/16 in"),
        ("ran it 40 km, tread 6 mm", "tread-depth=6 mm"),
        ("tread 9/32, drove 20 miles", "tread-depth=9/32 in"),
        ("hole is 5 mm wide, used my caliper", "injury-size=5 mm"),
        ("hole 6 mm wide, no rust, cords are bright and clean", "injury-size=6 mm"),
        ("no sealant, wiped it dry first", "sealant=no"),
        ("no sealant, liner is smooth as silk", "sealant=no"),
        ("off the rim, looked and found nothing", "findings=none"),
    ],
)
def test_a_neighbour_that_is_understood_alters_nothing(sentence, says):
    [heard] = hear_all([sentence])
    assert says in atoms(heard), heard


@pytest.mark.parametrize(
    ("sentence", "never"),
    [
        ("hole is 4 mm wide, but 6 inside", "injury-size=4 mm"),
        ("hole is 4 mm wide, more at the back", "injury-size=4 mm"),
        ("tread 9/32, a gribbled spot of 3", "tread-depth=9/32 in"),
        ("no sealant, only a bit", "sealant=no"),
        ("no sealant, there is one streak of it", "sealant=no"),
        ("nothing found, one bulge", "findings=none"),
        ("nothing found on this side", "findings=none"),
        ("nothing found inside", "findings=none"),
    ],
)
def test_a_neighbour_that_may_alter_still_does(sentence, never):
    [heard] = hear_all([sentence])
    assert never not in atoms(heard), heard


@pytest.mark.parametrize("words", ["plug and patch", "patch and plug", "plug with a patch"])
def test_a_plug_that_is_patched_is_none_without_a_patch(words):
    [heard] = hear_all([f"one earlier repair, sound, {words}"])
    assert "nail-hole" in str(heard["answers"]) + str(heard), heard
    assert "puncture-plug-only" not in str(heard), heard

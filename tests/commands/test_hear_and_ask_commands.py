"""`advisor hear` and `advisor ask`: the contract of their JSON, exit codes, and that start-up loads none of it."""

import json
import subprocess
import sys

import pytest

from advisor.cli import main

CASE = "answers: {vehicle: car, findings: [bulge]}\ninjuries: [{injury-zone: crown}]\n"


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text(CASE, encoding="utf-8")
    return str(path)


def run(capsys, *words):
    code = main(words)
    return code, capsys.readouterr()


def test_hear_prints_the_contract(capsys):
    code, out = run(capsys, "hear", "blorp, trailer tire, maybe 7 mil hole, no cord, no bulge", "--json")
    assert code == 0
    assert json.loads(out.out) == {
        "answers": {
            "vehicle": "trailer",
            "wheel-position": "trailer",
            "findings": {"absent": ["bulge", "exposed-cord"]},
        },
        "injuries": [{}],
        "proposed": {"answers": {}, "injuries": [{"injury-size": "7 mm"}]},
        "not_understood": ["blorp"],
        "asks_back": [
            {
                "id": "injury-size",
                "why": 'said with "maybe"; mil was taken as mm; in other trades it is a thousandth of an inch',
            }
        ],
    }


def test_hear_after_a_case_takes_the_open_question(capsys, case):
    code, out = run(capsys, "hear", "no, the steer axle", "--after", case, "--json")
    assert (code, json.loads(out.out)["answers"]) == (0, {"wheel-position": "steer"})
    code, out = run(capsys, "hear", "8 mm", "--after", case, "--json")
    assert code == 0 and json.loads(out.out)["injuries"] in ([{}], [{"injury-size": "8 mm"}])


def test_hear_prints_a_case_with_the_words(capsys):
    code, out = run(capsys, "hear", "trailer tire, nail in the crown")
    assert code == 0
    assert '  vehicle: "trailer"   # from: trailer tire' in out.out


@pytest.mark.parametrize(
    "sentence",
    [
        "cut down to the cord in the tread, an inch long, 12 mm deep",
        "maybe he drove it flat, black dust inside i think",
        "could be for a company, hauls things, nail in the crown maybe leaning along the tread",
        "an earlier patch, maybe a section repair",
    ],
)
def test_what_was_only_proposed_counts_for_nothing_and_is_no_leave(capsys, tmp_path, sentence):
    """The case in JSON has no answer that was not said; read as a case it ends as the one in lines does."""
    _, out = run(capsys, "hear", sentence, "--json")
    heard = json.loads(out.out)
    assert "cant-tell" not in json.dumps([heard["answers"], heard["injuries"]])
    assert heard["proposed"]["answers"] or heard["proposed"]["injuries"]
    ends = {}
    for kind, words in (("json", ["--json"]), ("yaml", [])):
        file = tmp_path / f"case.{kind}"
        file.write_text(run(capsys, "hear", sentence, *words)[1].out, encoding="utf-8")
        ends[kind] = json.loads(run(capsys, "decide", str(file), "--json")[1].out)
    assert ends["json"] == ends["yaml"]


@pytest.mark.parametrize(
    ("question", "kind"),
    [
        ("why?", "why"),
        ("why not repair?", "why-not"),
        ("why not one-piece?", "why-not"),
        ("what if the tread were 2/32", "what-if"),
        ("how sure?", "how-sure"),
        ("what is a bead?", "word"),
    ],
)
def test_ask_prints_the_contract(capsys, case, question, kind):
    code, out = run(capsys, "ask", case, question, "--json")
    found = json.loads(out.out)
    assert code == 0
    assert list(found) == ["question", "kind", "intent", "subject", "says", "sources", "parts"]
    assert (found["question"], found["kind"]) == (question, kind)
    assert found["says"] and isinstance(found["parts"], list)


@pytest.mark.parametrize("words", [("ask",), ("ask", "-"), ("hear",), ("hear", "x", "--after", "no-such-file")])
def test_what_is_missing_is_bad_input(capsys, words):
    code, out = run(capsys, *words)
    assert code == 2 and out.err


def test_a_question_that_is_none_is_named(capsys, case):
    code, out = run(capsys, "ask", case, "sing me a song", "--json")
    assert code == 2
    assert json.loads(out.out)["kind"] is None
    assert "sing me a song" in out.err


def test_starting_loads_nothing_of_it():
    code = (
        "import sys, advisor.cli, advisor.dialogue.talk_commands, advisor.console.runner\n"
        "late = ('advisor.nlu', 'advisor.explain.why', 'advisor.explain.counterfactual', 'advisor.dialogue.intents')\n"
        "bad = [m for m in sys.modules if m.startswith(late)]\n"
        "print([m for m in bad if m not in ('advisor.explain.why',)])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"

"""Entries that read well by themselves and do not go with what they are about.

rank-twice (error): two methods of one rank.
Why it is bad: which of them is taken where both apply goes by nothing that anybody said.
PASS:
  methods.yaml: {patch: {title: Patch, rank: 2, when: {size: {within: largest-hole}}, ending: repair, says: For any,
    standing: invented for the demo, source: made-up, clause: none, steps: [{id: patch, stage: place, says: Patch it.,
    standing: invented for the demo, source: made-up, clause: none}], without: [{because: it is a sample, stages:
    [inspect, mark, remove, clean, probe, prepare, re-measure, fill, buff, clean-dry, cement, cement-thin, dry, stitch,
    seal, trim-outside, check, inflate, leak-test, record]}]}}
FAIL:
  methods.yaml: {patch: {title: Patch, rank: 1, when: {size: {within: largest-hole}}, ending: repair, says: For any,
    standing: invented for the demo, source: made-up, clause: none, steps: [{id: patch, stage: place, says: Patch it.,
    standing: invented for the demo, source: made-up, clause: none}], without: [{because: it is a sample, stages:
    [inspect, mark, remove, clean, probe, prepare, re-measure, fill, buff, clean-dry, cement, cement-thin, dry, stitch,
    seal, trim-outside, check, inflate, leak-test, record]}]}}

doubts-another (error): a ruling that doubts an answer which its condition does not look at.
Why it is bad: the answer that can hardly be right stands, and another one is taken for doubtful.
PASS:
  paths.yaml: {nodes/size/rulings/+: {id: hardly, when: {size: {beyond: largest-hole}}, doubts: [size],
    ending: hold-open, because: that is much}}
FAIL:
  paths.yaml: {nodes/size/rulings/+: {id: hardly, when: {size: {beyond: largest-hole}}, doubts: [sealant],
    ending: hold-open, because: that is much}}

answer-not-read (error): an example, or a figure that words stand for, that can't be given as an answer.
Why it is bad: whoever types what is shown, or one of the words, is refused.
PASS:
  questions.yaml: {size/example: 8 mm}
FAIL:
  questions.yaml: {size/example: 8 psi}

figures-out-of-order (error): a worked-out value with a figure that is not below the one that it has to be below.
Why it is bad: a row that begins where the one before it has not ended never counts, or both do.
PASS:
  questions.yaml: {casing-thickness: {about: injuries, name: thickness, asks: "How thick is it?", kind: measure,
    of: length, unit: mm, plausible: 1-60 mm, worse: above, why: It takes cement.}}
  limits.yaml:
    coats: {says: coats, value: 2-4 times, standing: from memory, source: made-up, clause: none}
    thin: {says: thin, value: 9 mm, standing: from memory, source: made-up, clause: none}
    thick: {says: thick, value: 12 mm, standing: from memory, source: made-up, clause: none}
  values.yaml: {coats-here: {name: coats, about: injuries, function: cement-coats, figures: {coats: coats,
    thin-to: thin, thick-from: thick}}}
FAIL:
  questions.yaml: {casing-thickness: {about: injuries, name: thickness, asks: "How thick is it?", kind: measure,
    of: length, unit: mm, plausible: 1-60 mm, worse: above, why: It takes cement.}}
  limits.yaml:
    coats: {says: coats, value: 2-4 times, standing: from memory, source: made-up, clause: none}
    thin: {says: thin, value: 9 mm, standing: from memory, source: made-up, clause: none}
    thick: {says: thick, value: 12 mm, standing: from memory, source: made-up, clause: none}
  values.yaml: {coats-here: {name: coats, about: injuries, function: cement-coats, figures: {coats: coats,
    thin-to: thick, thick-from: thin}}}

edition-without-figure (warning): an edition in which no figure stands.
Why it is bad: of two editions nobody can tell which is the later one, and `advisor compare` takes neither for earlier.
PASS:
  about.yaml: {edition: 2027-01-01}
FAIL:
  about.yaml: {edition: soon}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from advisor.engine.derived.registry import FUNCTIONS
from advisor.loader.answer_codec import read_typed
from advisor.model.problems import Misread, Problem
from advisor.model.ruleset import Question, RuleSet, leaves
from advisor.tools.diff.kept import questions_behind


def check(rules: RuleSet) -> Iterator[Problem]:
    """An edition without a figure, ranks given twice, doubts beside the point, examples that can't be typed."""
    if not any(sign.isdecimal() for sign in rules.about.edition):
        yield Problem(
            "edition-without-figure",
            rules.place_of("about.yaml", "edition"),
            f'"{rules.about.edition}" as the edition of {rules.about.id}',
            "a day, such as 2027-01-01",
            "give it",
        )
    yield from _out_of_order(rules)
    ranks: dict[int, str] = {}
    for name, method in rules.methods.items():
        if (first := ranks.setdefault(method.rank, name)) != name:
            yield Problem(
                "rank-twice",
                rules.place_of("methods.yaml", name),
                f'"{name}" with the rank {method.rank}, which "{first}" has too',
                "a rank of its own for each method, the least demanding lowest",
                "give one of them another rank",
                see=((rules.place_of("methods.yaml", first), "the other method"),),
            )
    for ruling in rules.rulings():
        looked_at = set(questions_behind((leaf.subject for leaf in leaves(ruling.when)), rules))
        for name in ruling.doubts:
            if name not in looked_at:
                yield Problem(
                    "doubts-another",
                    rules.place_of_ruling(ruling),
                    f'the ruling "{ruling.id}", which doubts {name} and looks at {", ".join(sorted(looked_at))}',
                    "answers that its condition looks at",
                    "name one of them",
                )
    for question in rules.questions.values():
        examples = question.shown_as.split(", ") if question.shown_as else ()
        for text in (*examples, *question.words_for):
            if (wrong := _unread(question, text)) is not None:
                yield Problem(
                    "answer-not-read",
                    rules.place_of("questions.yaml", question.id),
                    f'"{text}" as an answer to {question.id}: {wrong.found}',
                    wrong.expected,
                    "correct the figure, or its unit",
                )


def _out_of_order(rules: RuleSet) -> Iterator[Problem]:
    """Figures of a value that its function takes in a rising order, and that are not."""
    told = set[tuple[str, str]]()
    for value in rules.values.values():
        names = [name for name in FUNCTIONS[value.function].rising if name in value.figures]
        for lower, upper in pairwise(names):
            below, above = (rules.limits[value.figures[name]] for name in (lower, upper))
            if (below.id, above.id) not in told and below.figures[0].low >= above.figures[0].to(
                below.figures[0].unit
            ).low:
                told.add((below.id, above.id))
                yield Problem(
                    "figures-out-of-order",
                    rules.place_of("values.yaml", value.id),
                    f"{lower} of {value.id} with {below.id}, {below.figures[0]}, "
                    f"and {upper} with {above.id}, {above.figures[0]}",
                    f"{lower} below {upper}",
                    "correct the figures, or name others",
                    see=tuple((rules.place_of("limits.yaml", each.id), each.says) for each in (below, above)),
                )


def _unread(question: Question, text: str) -> Misread | None:
    """What is wrong with a text as an answer."""
    try:
        read_typed(question, text)
    except Misread as error:
        return error
    return None

"""Questions that the program looks for by name (`model/inputs.py`) and that a rule set bears under another id only.

A set need not have them all. One counts as renamed where the shipped set of the same id has it, or where a question of
its kind bears an id much like it, unless that says by `formerly: []` that it never had another. One that a function of
values.yaml needs is `missing-input` already.

input-not-asked (warning): a question that the program looks for by an id that none bears, or had formerly.
Why it is bad: sentences and drawings pass over it without a word.
PASS:
  questions.yaml:
    sealant: ~
    sealants:
      formerly: [sealant]
      name: sealant inside
      asks: Is there sealant inside?
      kind: choice
      choices: {"yes": {says: "Yes"}, "no": {says: "No"}}
      worse-order: ["no", "yes"]
      why: Sealant hides injuries.
  paths.yaml:
    nodes/sealant/ask: sealants
    nodes/sealant/rulings/sealant-used/when: {sealants: {is: "yes"}}
    nodes/washed/asked: {when: {sealants: {is: "yes"}}}
FAIL:
  questions.yaml:
    sealant: ~
    sealants:
      name: sealant inside
      asks: Is there sealant inside?
      kind: choice
      choices: {"yes": {says: "Yes"}, "no": {says: "No"}}
      worse-order: ["no", "yes"]
      why: Sealant hides injuries.
  paths.yaml:
    nodes/sealant/ask: sealants
    nodes/sealant/rulings/sealant-used/when: {sealants: {is: "yes"}}
    nodes/washed/asked: {when: {sealants: {is: "yes"}}}
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from advisor.loader.paths import find_rule_set, shared_folders, shipped
from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.inputs import BY_QUESTION, Input
from advisor.model.problems import Place, Problem, closest
from advisor.model.ruleset import RuleSet


def check(rules: RuleSet) -> Iterator[Problem]:
    """Inputs of the program that seem to stand under another id."""
    lacking = [known for known in BY_QUESTION.values() if rules.question_now(known.question) not in rules.questions]
    of_shipped = _shipped_questions(rules, lacking)
    for known in lacking:
        nearest = closest(known.question, _of_its_kind(known, rules))
        if nearest or known.question in of_shipped:
            first = next(iter(rules.questions))
            yield Problem(
                "input-not-asked",
                rules.place_of("questions.yaml", nearest[0]) if nearest else _head(rules, first),
                f'no question "{known.question}", which the program looks for: {known.what_for}',
                "a question that bears that id, or had it",
                f"where it was renamed, say formerly: [{known.question}] there; "
                "where that is another question, say formerly: [] there"
                if nearest
                else f"where it was renamed, say formerly: [{known.question}] there",
                nearest,
            )


def _of_its_kind(known: Input, rules: RuleSet) -> list[str]:
    """The questions that could be it: of its kind, no input themselves, and not said to have had no other id."""
    said = rules.content.get("questions.yaml", {})
    return [
        question.id
        for question in rules.questions.values()
        if (question.over, question.kind, question.quantity) == (known.over, known.kind, known.quantity)
        and rules.input_of(question.id) not in BY_QUESTION
        and said.get(question.id, {}).get("formerly") != []
    ]


def _shipped_questions(rules: RuleSet, wanted: Collection[Input]) -> frozenset[str]:
    """The questions of the shipped set of this id; none are read where its files name none of those wanted."""
    if rules.about.id not in shipped():
        return frozenset()
    folder = find_rule_set(rules.about.id)
    homes = (folder, *(folder.parent / name for name in shared_folders()))
    files = (home / "questions.yaml" for home in homes)
    text = "".join(file.read_text(encoding="utf-8") for file in files if file.is_file())
    if not rules.about.builds_on and not any(f"\n{known.question}:" in text for known in wanted):
        return frozenset()
    return frozenset(load_rule_set(folder).questions)


def _head(rules: RuleSet, question: str) -> Place:
    """The first line of questions.yaml."""
    return Place(rules.place_of("questions.yaml", question).file, 1, 1)

"""What a rule set defines and nothing uses, and findings that no ruling looks at.

A method is used where it applies by itself or an ending names it; a word where its term stands in some wording. Two
kinds are no slip: a worked-out value, since every one stands in the JSON answer, and a question that every case file
may answer, though this rule set never asks it. Endings and nodes that nothing leads to are `unreached`.

unused (warning): a question, limit, term, caution, source, restriction, step, method or word that nothing names.
Why it is bad: it is a slip in a name, or the remains of a rule that whoever reads the file takes to hold.
PASS:
  limits.yaml: {widest-cut: {says: widest cut, value: 9 mm, standing: from memory, source: made-up, clause: none}}
  restrictions.yaml: {not-steer/says: "Not in front with a cut above {widest-cut}."}
FAIL:
  limits.yaml: {widest-cut: {says: widest cut, value: 9 mm, standing: from memory, source: made-up, clause: none}}

finding-without-ruling (error): a finding that can be answered and that no ruling that decides looks at.
Why it is bad: damage that was found and said passes without a word.
PASS:
  questions.yaml: {findings/choices/cut: {says: A cut}}
  paths.yaml: {nodes/findings/rulings/bulge/when: {findings: {has-any: [bulge, cord, cut]}}}
FAIL:
  questions.yaml: {findings/choices/cut: {says: A cut}}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from advisor.loader.kept_language import LANGUAGE_FILES
from advisor.model.inputs import TAKEN_IN
from advisor.model.problems import Problem
from advisor.model.ruleset import STANDINGS, Condition, RuleSet, leaves, terms_in
from advisor.tools.verify.case_space import every_condition


def check(rules: RuleSet) -> Iterator[Problem]:
    """Everything defined and named nowhere else."""
    homes: dict[str, Iterable[str]] = {
        "sources.yaml": rules.sources,
        "limits.yaml": (*rules.limits, *rules.tables),
        "questions.yaml": rules.questions,
        "cautions.yaml": rules.cautions,
        "restrictions.yaml": rules.restrictions,
    }
    unused = _used_nowhere({name for names in homes.values() for name in names if name not in TAKEN_IN}, rules.content)
    for file, names in homes.items():
        for name in names:
            if name in unused:
                yield _unused(rules, file, name, "name it where it belongs, or take it out")
    named = {name for condition in _conditions(rules) for name in terms_in(condition)}
    for name in rules.terms:
        if name not in named:
            yield _unused(rules, "terms.yaml", name, "use it in a condition, or take it out")
    for name in rules.content.get("steps.yaml", {}):
        yield _unused(rules, "steps.yaml", name, "list it in a method, or take it out")
    for name, method in rules.methods.items():
        if method.when is None and not any(ending.method == name for ending in rules.endings.values()):
            yield _unused(rules, "methods.yaml", name, 'say "when" it applies, or name it in an ending')
    yield from _words_nobody_meets(rules)
    yield from _findings_nobody_looks_at(rules)


def _conditions(rules: RuleSet) -> Iterator[Condition]:
    yield from every_condition(rules)
    yield from (term.when for term in rules.terms.values())
    steps = (step for method in rules.methods.values() for step in method.steps)
    yield from (step.when for step in steps if step.when is not None)


def _unused(rules: RuleSet, file: str, name: str, do: str) -> Problem:
    return Problem("unused", rules.place_of(file, name), f'"{name}", which nothing uses', "a use for it", do)


def _words_nobody_meets(rules: RuleSet) -> Iterator[Problem]:
    """A term that stands in no wording: nobody meets it, so nobody asks what it means."""
    texts = _Texts(tree for file, tree in _rules_first(rules.content) if file != "words.yaml")
    own = rules.content.get("words.yaml", {})
    for name, word in rules.words.items():
        terms = [term.lower() for term in (name.replace("-", " "), word.title, *word.also)]
        if word.asked_for or any(map(texts.have, terms)):
            continue
        others = (str(entry).lower() for other, entry in own.items() if other != name)
        if not any(term in other for other in others for term in terms):
            yield _unused(rules, "words.yaml", name, "use the term in some wording, or take the word out")


class _Texts:
    """What stands in trees, in small letters, and in the names of standings; made of one after another as needed."""

    def __init__(self, trees: Iterable[Any]) -> None:
        self._trees, self._made = iter(trees), [" ".join(STANDINGS).lower()]

    def have(self, term: str) -> bool:
        """Whether a term stands somewhere."""
        if any(term in text for text in self._made):
            return True
        for tree in self._trees:
            self._made.append(msgspec.json.encode(tree).decode().lower())
            if term in self._made[-1]:
                return True
        return False


def _findings_nobody_looks_at(rules: RuleSet) -> Iterator[Problem]:
    """A finding that can be answered and that no ruling looks at passes without a word."""
    looked_at: dict[str, set[str]] = {}
    for ruling in rules.rulings():
        for leaf in leaves(ruling.when) if ruling.counts else ():
            looked_at.setdefault(leaf.subject, set()).update(leaf.operand)
    for question in rules.questions.values():
        known = looked_at.get(question.id, set())
        for choice in question.choices if question.kind == "choices" and known else ():
            if choice.id not in known:
                yield Problem(
                    "finding-without-ruling",
                    rules.place_of("questions.yaml", question.id),
                    f'"{choice.id}" of {question.id}, which no ruling that decides looks at',
                    "a ruling that says what it means",
                    "add one to paths.yaml, or take the choice out",
                )


def _used_nowhere(names: set[str], content: Any) -> set[str]:
    """Those of some names that stand nowhere as a value, a condition's subject or between braces.

    An entry does not use its own name, and words of a language name nothing.
    """
    left = {name.encode() for name in names}
    for file, tree in _rules_first(content):
        for top, value in tree.items() if left else ():
            if (file, top) != ("phrases.yaml", "classes"):
                own = {top.encode()} & left if file != "paths.yaml" else set[bytes]()
                left.difference_update(_words(value))
                left |= own
    return {name.decode() for name in left}


def _rules_first(content: Any) -> list[tuple[str, Any]]:
    """The files, those last that hold what people say and ask: most of the text, and few names."""
    return sorted(content.items(), key=lambda each: each[0] in LANGUAGE_FILES)


def _words(tree: Any) -> list[bytes]:
    return msgspec.json.encode(tree).translate(_WORDS_APART).split()


_BETWEEN = b'{}",'
_WORDS_APART = bytes.maketrans(_BETWEEN, b" " * len(_BETWEEN))

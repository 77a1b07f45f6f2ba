"""The rules as proofs and cases know them: all that judging goes by, without what only people read.

Proofs are held of these, and so what they find hangs on nothing that is left out here: an edit of wording, of a note or
of a line has nothing proved anew. What the driver is told stays in, since a proof holds it against its standing, and so
do the words of choices, by which a case may answer.
"""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from advisor.model.limits import Basis, Limit
from advisor.model.ruleset import About, Language, Method, Node, Question, RuleSet, Ruling

_ABOUT = {
    **dict.fromkeys(("title", "edition", "scope"), ""),
    **dict.fromkeys(("not_for", "defers_to", "notes", "spelled", "conflicts", "looked_for"), ()),
    "record": None,
}


def as_proved(rules: RuleSet) -> RuleSet:
    """The rules without wording, without where each thing stands, and without what people say and ask."""
    return replace(
        rules,
        about=_about(rules.about),
        limits={name: _limit(each) for name, each in rules.limits.items()},
        tables={name: replace(each, says="", note="") for name, each in rules.tables.items()},
        questions={name: _question(each) for name, each in rules.questions.items()},
        values={name: replace(each, name="", if_unknown="") for name, each in rules.values.items()},
        nodes={name: _node(each) for name, each in rules.nodes.items()},
        endings={name: replace(each, headline="", do_now=()) for name, each in rules.endings.items()},
        restrictions={name: replace(each, says="", tell_driver="") for name, each in rules.restrictions.items()},
        methods={name: _method(each) for name, each in rules.methods.items()},
        cautions={
            name: replace(each, says="", do_now={}, basis=_basis(each.basis)) for name, each in rules.cautions.items()
        },
        places={},
        read_as=(),
        known_digest="as proved",
        normalised=dict,
        terms={},
        language=Language,
    )


def _about(about: About) -> About:
    blank: dict[str, Any] = _ABOUT
    return replace(about, **blank)


def _basis(basis: Basis) -> Basis:
    return replace(basis, clause="")


def _limit(limit: Limit) -> Limit:
    later = tuple(replace(each, limit=_limit(each.limit)) for each in limit.later)
    return replace(limit, says="", note="", basis=_basis(limit.basis), later=later)


def _question(question: Question) -> Question:
    choices = tuple(replace(each, help="") if each.help else each for each in question.choices)
    return replace(question, name="", asks="", how="", why="", choices=choices)


def _node(node: Node) -> Node:
    cant_tell = replace(node.cant_tell, because="")
    return replace(node, cant_tell=cant_tell, rulings=tuple(map(_ruling, node.rulings)))


def _ruling(ruling: Ruling) -> Ruling:
    return replace(ruling, because="", basis=_basis(ruling.basis))


def _method(method: Method) -> Method:
    steps = (replace(each, says="", name="", tell_driver="", basis=_basis(each.basis)) for each in method.steps)
    return replace(method, title="", says="", basis=_basis(method.basis), steps=tuple(steps))

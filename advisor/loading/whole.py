"""Checks of a rule set as a whole, once all of its files are read: ids given once, ways within a part, names taken."""

from __future__ import annotations

from advisor.errors import Place, Problem
from advisor.loading.draft import Draft
from advisor.model.rules import Ruling


def check_unique_rulings(draft: Draft) -> None:
    """Each ruling has an id of its own."""
    seen: dict[str, Ruling] = {}
    for node in draft.nodes.values():
        for ruling in node.rulings:
            first = seen.setdefault(ruling.id, ruling)
            if first is not ruling:
                draft.problems.append(
                    Problem(
                        "duplicate-ruling",
                        _place_of_second(ruling, draft),
                        f'the ruling id "{ruling.id}" at {first.node} and at {node.id}',
                        "each id once",
                        "give one of the two an id of its own (id: …)",
                        see=((draft.places[f"paths.yaml#{first.node}/{ruling.id}"], "the first"),),
                    )
                )


def _place_of_second(ruling: Ruling, draft: Draft) -> Place:
    name = f"paths.yaml#{ruling.node}/{ruling.id}"
    return draft.places.get(f"{name}/again") or draft.places[name]


def check_parts(draft: Draft) -> None:
    """A way on stays in its part; the parts follow each other as they are listed."""
    for node in draft.nodes.values():
        for number, edge in enumerate(node.next, 1):
            target = draft.nodes.get(edge.to)
            if target is not None and target.part != node.part:
                found = f"a way on from {node.id} (part {node.part}) to {target.id} (part {target.part})"
                here = draft.places.get(f"paths.yaml#{node.id}/way-{number}")
                draft.problems.append(
                    Problem(
                        "other-part",
                        here or draft.places[f"paths.yaml#{node.id}"],
                        found,
                        "a node of the same part, or end",
                        "end this part; the next one in the list of parts follows",
                    )
                )


def check_names(draft: Draft) -> None:
    """A worked-out value must not bear a question's name."""
    for name in draft.values.keys() & draft.questions.keys():
        draft.problems.append(
            Problem(
                "name-taken",
                draft.places[f"values.yaml#{name}"],
                f'"{name}", which is a question already',
                "a name of its own",
                "rename the worked-out value",
                see=((draft.places[f"questions.yaml#{name}"], "the question"),),
            )
        )

"""What the guard of question ids looks for: an id of a shipped rule set written out in code, beside the registry."""

from __future__ import annotations

import ast
import re
from collections.abc import Collection, Iterator

from tests.guards.guards import Sources, parsed

REGISTRY = "advisor.model.inputs"
#: Words that are written like a question's id and mean something else, by module and why.
FALSE_FRIENDS: dict[tuple[str, str], str] = {
    ("advisor.commands", "sidewall"): "a command",
    ("advisor.commands.sidewall", "sidewall"): "a key of the command's JSON",
    **{
        ("advisor.console.sidewall_lines", word): "a row or a JSON key of what a print says"
        for word in ("construction", "tube", "tire-class", "load-range", "retread")
    },
    ("advisor.domain.compressed_air", "humidity"): "what a complaint calls the measure",
    ("advisor.domain.dot_code", "retread"): "a kind of date code",
    **{
        (module, "sidewall"): "a zone"
        for module in (
            "advisor.domain.geometry.zones",
            "advisor.drawings.views.cross_section",
            "advisor.engine.derived.injury",
            "advisor.loader.rule_file_schema",
        )
    },
    ("advisor.drawings.views.how_to_measure", "offset"): "a word in a drawing",
    **{
        ("advisor.engine.derived.registry", word): "a function of values.yaml"
        for word in ("tire-class", "construction", "tube")
    },
    **{
        ("advisor.tools.verify.boundary_values", word): "a function of values.yaml"
        for word in ("tire-class", "construction", "tube")
    },
    ("advisor.engine.derived.registry", "retread"): "a kind of date code",
    ("advisor.journal.repair_offers", "offset"): "a word on a line",
    ("advisor.practise.looking", "sidewall"): "a word for a way to look",
    ("advisor.practise.looking", "offset"): "a word for a way to look",
    ("advisor.practise.made_up", "sidewall"): "a zone",
    **{("advisor.practise.tire_plan", word): "a theme" for word in ("run-low", "earlier-repairs", "findings")},
    ("advisor.nlu.sentence_figures", "clock"): "a word of a sentence",
    ("advisor.nlu.sentence_figures", "offset"): "a word of a sentence",
}


def _written(tree: ast.Module) -> Iterator[ast.Constant]:
    """Every text of a module that is no docstring."""
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node


def id_faults(texts: Sources, ids: Collection[str]) -> list[str]:
    """Places where a question's id is written out in code, alone or as the head of an address (`injury-size|…`).

    A false friend may only stand in its own module.
    """
    one = "|".join(sorted(map(re.escape, ids), key=len, reverse=True))
    written = re.compile(rf"(?:answers\.)?(?P<id>{one})(?=$|[|\[])")
    found = []
    for module, text in texts.items():
        if module == REGISTRY:
            continue
        for node in _written(parsed(text)):
            name = written.match(str(node.value))
            if name and (module, name["id"]) not in FALSE_FRIENDS:
                found.append(f"{module}:{node.lineno} {name['id']}")
    return found


def friends_gone(texts: Sources) -> list[str]:
    """False friends that no longer stand in their module: they would hide an id."""
    return [
        f"{module} {word}"
        for module, word in FALSE_FRIENDS
        if all(node.value != word for node in _written(parsed(texts.get(module, ""))))
    ]

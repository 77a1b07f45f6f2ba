"""What the guards look for: in source texts by their syntax tree, and in a rule set by its data."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import networkx

from advisor.model.ruleset import STANDINGS, RuleSet

PACKAGE = Path(__file__).resolve().parents[2] / "advisor"
#: Rows of the design, the top one first; a module imports from its own package and from rows below its own.
ROWS: tuple[frozenset[str], ...] = (
    frozenset({"cli", "commands", "__main__"}),
    frozenset({"api"}),
    frozenset({"tui", "console", "report"}),
    frozenset({"dialogue", "practise", "fleet"}),
    frozenset({"explain", "work", "journal", "tools"}),
    frozenset({"wording"}),
    frozenset({"nlu"}),
    frozenset({"loader"}),
    frozenset({"drawings"}),
    frozenset({"engine"}),
    frozenset({"domain"}),
    frozenset({"model", "start"}),
)
#: The top row starts each other, and the bottom row is one set of plain data: both may import within the row.
OPEN_ROWS = frozenset({0, len(ROWS) - 1})
#: Who may import what from outside; a name ending in a dot is a whole package of ours. Empty: nobody.
ONLY: dict[str, str | tuple[str, ...]] = {
    "textual": "advisor.tui.",
    "textual_serve": "advisor.tui.browser",
    "aiohttp": "advisor.tui.browser",
    "networkx": "advisor.engine.question_graph",
    "yaml": "advisor.loader.",
    "rich": "advisor.tui.",  # Textual's line-drawing widgets speak in rich's segments; it comes with Textual
    "sqlite3": "advisor.journal.",
    "jinja2": "advisor.report.",
    "random": "",
    "fsrs": "advisor.practise.learned",
    "cryptography": "advisor.journal.signing",
    "pyarrow": ("advisor.journal.parquet", "advisor.fleet.", "advisor.api"),
    "numpy": "advisor.fleet.",
    "dask": "advisor.fleet.cluster",
    "distributed": "advisor.fleet.cluster",
    "grandalf": "advisor.report.graph_svg",
}
#: Rows from which the clock and the environment may be looked at; elsewhere they are passed in.
MAY_LOOK_ROUND = frozenset({"cli", "commands", "api", "tui", "console", "journal", "__main__"})
LOOKS_ROUND = frozenset({"today", "now", "utcnow", "environ", "getenv", "time", "monotonic"})

#: What every module of a kind is called by: a command's `declare` and `run`, a check's `check`.
ANSWERS_TO = {
    *(("advisor.commands", name) for name in ("declare", "run")),
    *((f"advisor.tools.{package}", "check") for package in ("lint", "verify")),
}
Sources = Mapping[str, str]


@cache
def parsed(text: str) -> ast.Module:
    """The tree of a module's text, read once for all guards."""
    return ast.parse(text)


@cache
def sources() -> dict[str, str]:
    """Every module of the program by its dotted name."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        names = ("advisor", *path.relative_to(PACKAGE).with_suffix("").parts)
        found[".".join(name for name in names if name != "__init__")] = path.read_text(encoding="utf-8")
    return found


def imported(text: str) -> Iterator[tuple[str, bool]]:
    """Every module that a source text imports, and whether the import stands at the top of the file."""
    tree = parsed(text)
    for node in ast.walk(tree):
        at_top = node in tree.body
        if isinstance(node, ast.Import):
            yield from ((alias.name, at_top) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or "", at_top
            yield from ((f"{node.module}.{alias.name}", at_top) for alias in node.names if node.module == "advisor")


def _row(module: str) -> tuple[int, str] | None:
    parts = module.split(".")
    if parts[0] != "advisor" or len(parts) == 1:
        return None
    place = next((index for index, row in enumerate(ROWS) if parts[1] in row), None)
    return None if place is None else (place, parts[1])


def layer_faults(texts: Sources) -> list[str]:
    """Imports that do not point down, and modules that belong to no row."""
    found = []
    for module, text in texts.items():
        here = _row(module)
        if here is None:
            found += [f"{module} belongs to no row"] if module not in ("advisor",) else []
            continue
        for name, _ in imported(text):
            there = _row(name)
            if there is None or there[1] == here[1] or there[0] > here[0]:
                continue
            if there[0] == here[0] and here[0] in OPEN_ROWS:
                continue
            found.append(f"{module} imports {name}")
    return found


def _needed(module: str, text: str, known: Sources) -> set[str]:
    """The modules of ours that one imports, for types alone and late ones too."""
    found = set()
    for node in ast.walk(parsed(text)):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {name if (name := f"{node.module}.{each.name}") in known else node.module for each in node.names}
        elif isinstance(node, ast.Import):
            found |= {each.name for each in node.names}
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.add(node.value)  # a module named by a text, for import_module
    return {name for name in found if name in known and name != module}


def circle_faults(texts: Sources) -> list[str]:
    """Modules that import each other in a circle, each circle once."""
    graph = networkx.DiGraph((module, name) for module, text in texts.items() for name in _needed(module, text, texts))
    return [" <-> ".join(sorted(circle)) for circle in networkx.strongly_connected_components(graph) if len(circle) > 1]


def _public(text: str) -> Iterator[str]:
    for node in parsed(text).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            yield from (target.id for target in targets if isinstance(target, ast.Name))


def name_faults(texts: Sources) -> list[str]:
    """Public names that two modules define, and module names that stand twice; commands and checks answer to one."""
    homes: dict[str, list[str]] = {}
    for module, text in texts.items():
        package, _, own = module.rpartition(".")
        if package != "advisor.commands":  # called by the word that is typed
            homes.setdefault(f"module {own}", []).append(module)
        for name in _public(text):
            if not name.startswith("_") and (package, name) not in ANSWERS_TO and (module, name) not in ANSWERS_TO:
                homes.setdefault(name, []).append(module)
    return [f"{name}: {', '.join(sorted(set(home)))}" for name, home in homes.items() if len(set(home)) > 1]


def outside_faults(texts: Sources) -> list[str]:
    """Imports of packages from outside by a module that may not."""
    found = []
    for module, text in texts.items():
        for name, at_top in imported(text):
            top = name.partition(".")[0]
            if top not in ONLY:
                continue
            homes = (ONLY[top],) if isinstance(ONLY[top], str) else ONLY[top]
            mine = any(module == home or (home.endswith(".") and f"{module}.".startswith(home)) for home in homes)
            if not mine or (top == "networkx" and at_top):
                found.append(f"{module} imports {name}")
    return found


def clock_faults(texts: Sources) -> list[str]:
    """Places that read the clock or the environment where these are passed in."""
    found = []
    for module, text in texts.items():
        here = _row(module)
        if here is None or here[1] in MAY_LOOK_ROUND:
            continue
        for node in ast.walk(parsed(text)):
            if isinstance(node, ast.Attribute) and node.attr in LOOKS_ROUND and _is_clock(node):
                found.append(f"{module}:{node.lineno} {node.attr}")
    return found


def _is_clock(node: ast.Attribute) -> bool:
    return isinstance(node.value, ast.Name) and node.value.id in ("date", "datetime", "os", "time")


#: Who lays text out: the faces and what prints lines for a shell. Others hand over blocks.
LAYS_OUT = frozenset({"tui", "console", "report", "commands", "cli", "tools", "drawings"})
#: Text with a form of its own: a problem on the error output, a case file's YAML.
OWN_FORM = frozenset({"advisor.model.problems.lines", "advisor.nlu.case_of.as_yaml_lines"})
_LED_BY_BLANKS = re.compile(r" +\S", re.S)


def blanks_faults(texts: Sources) -> list[str]:
    """Code outside the faces that puts blanks ahead of a text to set it in, or looks for them."""
    return [
        f"{module}:{node.lineno}: blanks ahead of a text"
        for module, text in texts.items()
        if module.partition(".")[2].partition(".")[0] not in LAYS_OUT
        for node in _outside(parsed(text), module)
        if _sets_in(node) or _looks_for_blanks(node)
    ]


def _outside(tree: ast.AST, module: str) -> Iterator[ast.expr]:
    """The expressions of a module, those of texts with a form of their own left out."""
    if isinstance(tree, ast.FunctionDef) and f"{module}.{tree.name}" in OWN_FORM:
        return
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.expr) and not (isinstance(tree, ast.JoinedStr) and isinstance(node, ast.Constant)):
            yield node
        yield from _outside(node, module)


def _sets_in(node: ast.expr) -> bool:
    """A text that begins with two blanks or more and says something after them."""
    first = node.values[0] if isinstance(node, ast.JoinedStr) and node.values else node
    if not (isinstance(first, ast.Constant) and isinstance(first.value, str)):
        return False
    whole = len(node.values) == 1 if isinstance(node, ast.JoinedStr) else True
    return first.value.startswith("  ") and (not whole or bool(_LED_BY_BLANKS.match(first.value)))


def _looks_for_blanks(node: ast.expr) -> bool:
    """`line.startswith("  ")`, `line[:2] == "  "`, `line[0] == " "`."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "startswith":
        return any(_is_blanks(each) for each in node.args)
    if isinstance(node, ast.Compare) and isinstance(node.left, ast.Subscript):
        return any(_is_blanks(each) for each in node.comparators)
    return False


def _is_blanks(node: ast.expr) -> bool:
    return (
        isinstance(node, ast.Constant) and isinstance(node.value, str) and bool(node.value) and not node.value.strip()
    )


def limit_faults(rules: RuleSet) -> list[str]:
    """Limits without a source that exists, a standing or a figure; published ones without a clause."""
    found = []
    for limit in rules.limits.values():
        basis = limit.basis
        if basis.standing not in STANDINGS:
            found.append(f"{limit.id}: standing {basis.standing!r}")
        if not basis.sources or any(source not in rules.sources for source in basis.sources):
            found.append(f"{limit.id}: sources {basis.sources}")
        if not limit.figures:
            found.append(f"{limit.id}: no figure")
        if basis.standing == "published" and basis.clause in ("", "none"):
            found.append(f"{limit.id}: published, and no clause")
    return found


_FIGURE = re.compile(r"\d")
#: Where a law is printed: its title and section.
_CITATION = re.compile(r"\b\d+ CFR(?: \d+(?:\.\d+)?)?")
_PLACEHOLDER = re.compile(r"\{[^{}]*\}")


def wording(rules: RuleSet) -> Iterator[tuple[str, str]]:
    """Every text of endings, cautions, steps and reasons, with what it belongs to."""
    for ending in rules.endings.values():
        yield from ((f"ending {ending.id}", text) for text in (ending.headline, ending.tell_driver, *ending.do_now))
    yield from ((f"caution {caution.id}", caution.says) for caution in rules.cautions.values())
    yield from ((f"restriction {each.id}", each.says) for each in rules.restrictions.values())
    yield from ((f"word {word.id}", word.says) for word in rules.words.values())
    for method in rules.methods.values():
        yield f"method {method.id}", method.says
        yield from ((f"step {method.id}.{step.id}", step.says) for step in method.steps)
    for ruling in rules.rulings():
        yield f"ruling {ruling.id}", ruling.because


def figure_in_wording_faults(texts: Iterator[tuple[str, str]]) -> list[str]:
    """Texts with a digit in them that no placeholder puts there and that cites no law."""
    return [what for what, text in texts if _FIGURE.search(_CITATION.sub("", _PLACEHOLDER.sub("", text)))]

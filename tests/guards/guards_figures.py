"""Finds figures in code that a rule set could want to change."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import TypeGuard

from tests.guards.guards import parsed

#: Packages in which no figure of a rule may stand. `domain` is arithmetic and code tables, held by its own tests.
LOOKED_AT = (
    "advisor.engine.",
    "advisor.wording.",
    "advisor.nlu.",
    "advisor.dialogue.",
    "advisor.explain.",
    "advisor.work.",
    "advisor.console.",
    "advisor.loader.case_constraints",
)
#: Counting, "is there more than one", halves and signs: arithmetic, no limit of anybody's.
ALLOWED = frozenset({-1, 0, 1, 2})
#: Names of constants that hold lengths of text, columns of a screen, sizes of lists or a cache: never of a tire.
TEXT_SIZES = ("LONGEST", "SHORTEST", "MOST", "WIDTH", "COLUMNS", "LINES", "DEEPEST", "ROUNDS", "SLIPS")
#: Calls whose figure is how much text to show, how many digits to keep, or how much to remember.
TEXT_CALLS = frozenset({"shown", "round", "lru_cache", "get_close_matches", "closest", "enumerate", "wrap", "fill"})
#: Names of calls that turn a text into a figure.
FIGURE_CALLS = frozenset({"Fraction", "Decimal", "exactly", "between", "Measure", "int", "float"})
#: Single places that are looked at and found to be no limit: module, figure, why.
LOOKED_AT_AND_FINE: dict[tuple[str, int | float], str] = {
    ("advisor.engine.derived.injury", 100): "a share in % as a fraction",
    ("advisor.engine.derived.injury", 3): "how many of the zones are crown, shoulder or sidewall",
    ("advisor.engine.derived.tire", 10): "rounds the turns in a kilometre to a tenth",
    ("advisor.engine.at_once", 10): "how many cases are judged one by one before anything is learned",
    ("advisor.console.live_lines", 30): "looks at the files in a second",
    ("advisor.console.replaying", 3): "lines of context",
    ("advisor.nlu.tagger", 12): "hours on a clock",
    ("advisor.engine.derived.workshop", 10): "from here on a figure is shown without tenths",
    ("advisor.explain.sufficient_reason", 14): "how many answers are left out one by one at once",
    ("advisor.explain.sufficient_reason", 4): "the share of the answers tried in one lot",
    ("advisor.loader.build", 12): "per cent by which two printed figures of one limit may differ",
    ("advisor.explain.sensitivity", 1000): "a step just past a limit, whatever the limit is",
    ("advisor.explain.least_change", 10): "a millimeter in cm, the step by which places are tried",
    ("advisor.explain.least_change", 16): "the step in inches by which places are tried",
    ("advisor.explain.least_change", 9): "how often that step is doubled",
    ("advisor.explain.counterfactual", 31): "columns on a screen",
    ("advisor.explain.counterfactual", 14): "columns on a screen",
    ("advisor.explain.why_not", 3): "the fourth of the four verdicts",
    ("advisor.nlu.loose_figures", 15): "the least bare figure that may be a pressure read: only ever proposed",
    ("advisor.nlu.loose_figures", 4): "up to here a bare figure may be tread or an hour: only ever proposed",
    ("advisor.nlu.loose_figures", 60): "minutes in an hour",
    ("advisor.nlu.loose_figures", 12): "hours on a clock",
    ("advisor.nlu.loose_figures", 99): "farther than any word is away",
    ("advisor.nlu.slots.measures", 25): "the least bare figure that may be a pressure of a pair: only ever proposed",
    ("advisor.nlu.slots.measures", 150): "the most of one: only ever proposed",
    ("advisor.dialogue.intents", 0.5): "what fits of a question, weighed: which answer is tried first",
    ("advisor.dialogue.intents", 4): "the same",
    ("advisor.dialogue.intents", 0.1): "the same",
    ("advisor.dialogue.intents", 2.5): "the same",
    ("advisor.dialogue.intents", 1.5): "the same",
    ("advisor.dialogue.intents", 3): "the same; and words of a term",
    ("advisor.dialogue.supposed", 9): "the same",
    ("advisor.explain.question_reader", 0.25): "the same",
    ("advisor.explain.question_reader", 3): "letters left of a word without its ending",
    ("advisor.explain.question_reader", 4): "letters from which an ending in y is set right",
    ("advisor.explain.question_reader", 5): "letters of the shortest word that is set right",
    ("advisor.explain.question_reader", 8): "letters from which two slips are set right",
    ("advisor.explain.asked_case", 60): "columns of a sketch",
    ("advisor.explain.question_answers", 76): "columns of a drawing",
    ("advisor.explain.counterfactual", 24): "columns on a screen",
    ("advisor.explain.unanswered", 0.75): "the share of a question's words that a known wording has",
    (
        "advisor.dialogue.asking_order",
        0.1,
    ): "what a verdict other than scrap is worth in the order of asking: an estimate",
    ("advisor.dialogue.place_in_whole", 6): "up to so many questions left it is said how many: it only picks the words",
    ("advisor.dialogue.asking_order", 1.5): "what gauging, or looking inside, takes in looks: an estimate",
    ("advisor.dialogue.asking_order", 0.15): "how often a figure is beyond its limit: an estimate for the order alone",
    ("advisor.dialogue.asking_order", 0.5): "how often a worked-out value is as a ruling wants it: the same",
    ("advisor.dialogue.asking_order", 0.3): "what knowing some of a ruling's answers is worth: the same",
    ("advisor.dialogue.asking_order", 0.25): "what one more question in a prompt takes in looks: the same",
    ("advisor.dialogue.asking_order", 3): "how often nothing is found, where no weight is given: the same",
}
#: Found and reported, not mended yet: taken out of here when they are.
TO_MEND: dict[tuple[str, int | float], str] = {}
#: Modules that turn number words and spoken fractions (thirteen, fifty, a quarter) into figures; nothing else.
NUMBER_WORDS = frozenset(
    f"advisor.nlu.{module}" for module in ("tokenizer", "sentence_figures", "slots.sidewall_prints")
)


def figure_faults(texts: Mapping[str, str], known: Mapping[tuple[str, int | float], str] = TO_MEND) -> list[str]:
    """Every figure in the packages looked at that is not arithmetic, a size of text, or known to be fine.

    `known` holds those that were reported already.
    """
    found = []
    for module, text in texts.items():
        if module.startswith(LOOKED_AT) and module not in NUMBER_WORDS:
            found += [
                f"{module}:{line} {figure}"
                for line, figure in figures_in(text)
                if (module, figure) not in {*LOOKED_AT_AND_FINE, *known}
            ]
    return found


def figures_in(text: str) -> list[tuple[int, int | float]]:
    """Line and figure of everything numeric in a source text that is not allowed there."""
    finder = _Finder()
    finder.visit(parsed(text))
    return finder.found


class _Finder(ast.NodeVisitor):
    def __init__(self) -> None:
        self.found: list[tuple[int, int | float]] = []

    def visit_Assign(self, node: ast.Assign) -> None:
        names = [target.id for target in node.targets if isinstance(target, ast.Name)]
        if not (names and all(name.lstrip("_").isupper() and self._text_size(name) for name in names)):
            self.generic_visit(node)

    @staticmethod
    def _text_size(name: str) -> bool:
        return any(word in name.split("_") for word in TEXT_SIZES)

    def visit_Call(self, node: ast.Call) -> None:
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name in TEXT_CALLS:
            self.visit(node.func)
            for part in node.args[:1]:
                self.visit(part)
            return
        if name in FIGURE_CALLS:
            for part in node.args:
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    self._text_figure(part)
        self.generic_visit(node)

    def _text_figure(self, node: ast.Constant) -> None:
        try:
            figure = Fraction(str(node.value))
        except ValueError:
            return
        if figure not in ALLOWED:
            self.found.append((node.lineno, float(figure)))

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        if not any(isinstance(side, ast.Call) and getattr(side.func, "id", "") == "len" for side in sides):
            self.generic_visit(node)

    def visit_Slice(self, node: ast.Slice) -> None:
        return

    def visit_FormattedValue(self, node: ast.FormattedValue) -> None:
        self.visit(node.value)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, int | float) and not isinstance(value, bool) and value not in ALLOWED:
            self.found.append((node.lineno, value))


def stated_limits(texts: Mapping[str, str], printed: Mapping[str, set[str]]) -> list[str]:
    """Where a test says what a limit's figure is: an expression that holds a limit's id and just its figure.

    `printed`: the figures of each limit as they are printed. What a rule set says stands beside it, or in a table with
    its source; a figure without a limit's name is an answer of some case.
    """
    found = []
    for file, text in texts.items():
        for node in ast.walk(parsed(text)):
            for every in _side_by_side(node):
                words = [each.value for one in every for each in ast.walk(one) if _is_text(each)]
                found += [f"{file}:{node.lineno}: {word}" for word in words if printed.get(word, set()) & set(words)]
    return found


def _is_text(node: ast.AST) -> TypeGuard[ast.Constant]:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _side_by_side(node: ast.AST) -> Iterator[list[ast.expr]]:
    """What an expression sets side by side: a key and its value, the items of a row, two sides, the words of a call."""
    if isinstance(node, ast.Dict):
        yield from ([key, value] for key, value in zip(node.keys, node.values, strict=True) if key is not None)
    elif isinstance(node, ast.Tuple | ast.List):
        yield node.elts
    elif isinstance(node, ast.Compare):
        yield [node.left, *node.comparators]
    elif isinstance(node, ast.Call):
        yield [*node.args, *(word.value for word in node.keywords)]

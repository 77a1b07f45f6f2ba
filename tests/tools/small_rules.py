"""Small random rule sets, and every case that there is under them: what the checks say is held against all of them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from random import Random

from advisor.model.case import CANT_TELL, Answer, Case, Choice
from advisor.model.quantity import Measure, between, exactly
from advisor.model.ruleset import (
    About,
    Basis,
    CantTellRule,
    ChoiceText,
    Condition,
    Edge,
    Ending,
    Join,
    Leaf,
    Limit,
    Method,
    Node,
    Part,
    Question,
    Restriction,
    RuleSet,
    Ruling,
    Source,
    Verdict,
)

BASIS = Basis("invented for the demo", ("made-up",), "none")
FIGURES = (10, 20)
COLOURS = ("pale", "mid", "dark")


def small_rules(random: Random) -> RuleSet:
    """Two choices, one of them ordered, a measure cut at two limits, a few rulings over them; one node may branch."""
    questions = {
        "shade": Question("shade", "tire", "shade", "shade", "?", "choice", choices=_choices(), worse_order=COLOURS),
        "make": Question("make", "tire", "make", "make", "?", "choice", choices=_choices()),
        "size": Question(
            "size",
            "injuries",
            "size",
            "size",
            "?",
            "measure",
            "length",
            "mm",
            plausible=between(0, 100, "mm"),
            worse="above",
        ),
    }
    limits = {
        f"size-{figure}": Limit(f"size-{figure}", "s", (exactly(figure, "mm"),), "above", random.random() < 0.5, BASIS)
        for figure in FIGURES
    }
    endings = {
        name: Ending(name, verdict, name, (), "")
        for name, verdict in (
            ("fix", Verdict.REPAIR),
            ("send", Verdict.REFER),
            ("wait", Verdict.HOLD),
            ("bin", Verdict.SCRAP),
        )
    }
    nodes = {
        "shade": _node("shade", "tire", "shade", random, (Edge(None, "make"),)),
        "make": _node("make", "tire", "make", random, (Edge(None, "end"),)),
        "size": _node("size", "injury", "size", random, (Edge(None, "after"),)),
        "after": _node("after", "injury", "", random, (Edge(None, "end"),)),
    }
    if random.random() < 0.5:
        first = Edge(_condition(random, ("shade", "size")), "after")
        nodes["size"] = _node("size", "injury", "size", random, (first, Edge(None, "between")))
        nodes["between"] = _node("between", "injury", "", random, (Edge(None, "after"),))
    return RuleSet(
        about=About("small", "small", "1", "s", (), (), "wait", "wait", (), (), ()),
        sources={"made-up": Source("made-up", "m", "m", "m", "derived", "not seen")},
        limits=limits,
        questions=questions,
        values={},
        parts=(Part("tire", "tire", "shade"), Part("injury", "injuries", "size", at_least_one=True)),
        nodes=nodes,
        endings=endings,
        restrictions={"slow": Restriction("slow", "slow", "slow")},
        methods={
            "light": Method("light", "l", 1, Leaf("size", "within", ("size-10",)), "fix", "", BASIS, (), ()),
            "heavy": Method("heavy", "h", 2, None if random.random() < 0.2 else _any_size(), "fix", "", BASIS, (), ()),
        },
        cautions={},
        normalised=dict,
    )


def _any_size() -> Condition:
    return Leaf("size", "known", ())


def _choices() -> tuple[ChoiceText, ...]:
    return tuple(ChoiceText(name, name) for name in COLOURS)


def _node(name: str, part: str, asks: str, random: Random, ways: tuple[Edge, ...]) -> Node:
    names = ("shade", "make") if part == "tire" else ("shade", "make", "size")
    rulings = tuple(_ruling(f"{name}-{number}", name, names, random) for number in range(random.randint(0, 3)))
    cant_tell = CantTellRule(random.choice(("", "wait", "wait", "bin", "send"))) if asks else CantTellRule()
    return Node(name, part, asks, False, "", None, cant_tell, rulings, ways)


def _ruling(name: str, node: str, names: tuple[str, ...], random: Random) -> Ruling:
    ending = random.choice(("send", "wait", "bin", ""))
    return Ruling(
        name,
        node,
        _condition(random, names),
        "because",
        BASIS,
        ending=ending,
        restrictions=() if ending and random.random() < 0.7 else ("slow",),
        in_doubt=random.choice(("", "", "same", "send")) if ending else "",
    )


def _condition(random: Random, names: tuple[str, ...], depth: int = 2) -> Condition:
    if depth and random.random() < 0.5:
        how = random.choice(("all", "any", "not"))
        count = 1 if how == "not" else 2
        return Join(how, tuple(_condition(random, names, depth - 1) for _ in range(count)))
    name = random.choice(names)
    if name == "size":
        return Leaf(name, random.choice(("beyond", "within")), (f"size-{random.choice(FIGURES)}",))
    return Leaf(name, "one-of", tuple(random.sample(COLOURS, random.randint(1, 2))))


SHADES: tuple[Answer, ...] = (*(Choice(name) for name in COLOURS), CANT_TELL)
SIZES: tuple[Answer, ...] = (
    *(exactly(figure, "mm") for figure in (5, 10, 15, 20, 60)),
    *(Measure(Fraction(low), Fraction(high), "mm") for low, high in ((5, 15), (15, 60), (5, 60))),
    CANT_TELL,
)


def every_case() -> Iterator[Case]:
    """Every case up to what the rules can tell apart."""
    for shade, make, size in product(SHADES, SHADES, SIZES):
        yield Case({"shade": shade, "make": make}, (), ({"size": size},))

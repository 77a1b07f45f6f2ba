"""What `advisor check` costs: us-road whole, as a ratio to reading it; and how the cost grows with independent rulings.

us-road is also checked with made-up rulings beside its own, at 2 and 4 times their number, and as a whole process on
top of `python -c pass`; with `--against CHECKOUT` in turn with that of another checkout, such as the one before.
A synthetic rule set has blocks that know nothing of each other: a measure with a limit and its four rulings, and two
choices. It is checked at 1, 10 and 100 times its size; each step should cost no more than ten times the one before.
Run: python tests/bench/checking.py [BLOCKS] [--against CHECKOUT]. Processor time, so that a busy machine shows little.
"""

from __future__ import annotations

import argparse
import gc
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

if __package__:
    from .made_up_rules import grown
    from .ratio import noted
else:
    from made_up_rules import grown
    from ratio import noted

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import between, exactly
from advisor.model.ruleset import (
    About,
    Basis,
    CantTellRule,
    ChoiceText,
    Edge,
    Ending,
    Join,
    Leaf,
    Limit,
    Method,
    Node,
    Part,
    Question,
    RuleSet,
    Ruling,
    Source,
    Verdict,
)
from advisor.tools.checks import problems_of

BASIS = Basis("invented for the demo", ("made-up",), "none")
YES_NO = (ChoiceText("no", "No"), ChoiceText("yes", "Yes"))
#: Blocks at once the size of us-road: each has 5 rulings.
BLOCKS = 20
ROUNDS = 3
#: At most so many seconds on top of a bare interpreter; at most so many times the cost for twice the rules.
AIM_S, MOST_GROWTH = 0.3, 2.5
CHECKOUT = Path(__file__).resolve().parents[2]


def spent(work: Callable[[], object]) -> float:
    """Processor seconds of the quickest of a few rounds."""
    times = []
    for _ in range(ROUNDS):
        gc.collect()
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def check_all(rules: RuleSet) -> int:
    """Every check, with nothing kept from an earlier one."""
    from advisor.tools.verify import workbench

    workbench.forget_proofs()
    return len(problems_of(rules))


def synthetic(blocks: int) -> RuleSet:
    """Blocks of questions and rulings that know nothing of each other, walked one after another."""
    questions: dict[str, Question] = {}
    limits: dict[str, Limit] = {}
    nodes: dict[str, Node] = {}
    names = [f"{kind}-{n}" for n in range(blocks) for kind in ("size", "sign", "state")]
    for place, name in enumerate(names):
        kind, _, number = name.partition("-")
        following = names[place + 1] if place + 1 < len(names) else "end"
        if kind == "size":
            limits[f"limit-{number}"] = Limit(f"limit-{number}", "s", (exactly(10, "mm"),), "above", True, BASIS)
            plausible = between(0, 100, "mm")
            questions[name] = Question(
                name, "tire", name, name, "?", "measure", "length", "mm", plausible=plausible, worse="above"
            )
        else:
            questions[name] = Question(
                name, "tire", name, name, "?", "choice", choices=YES_NO, worse_order=("no", "yes")
            )
        cant_tell = CantTellRule("wait")
        nodes[name] = Node(
            name, "tire", name, False, "", None, cant_tell, _rulings(kind, number), (Edge(None, following),)
        )
    questions["hole"] = Question("hole", "injuries", "hole", "hole", "?", "choice", choices=YES_NO)
    nodes["hole"] = Node("hole", "injury", "hole", False, "", None, CantTellRule("wait"), (), (Edge(None, "end"),))
    return RuleSet(
        about=About("synthetic", "synthetic", "1", "s", (), (), "wait", "wait", (), (), ()),
        sources={"made-up": Source("made-up", "m", "m", "m", "derived", "not seen")},
        limits=limits,
        questions=questions,
        values={},
        parts=(Part("tire", "tire", "size-0"), Part("injury", "injuries", "hole", at_least_one=True)),
        nodes=nodes,
        endings={v: Ending(v, verdict, v, (), "") for v, verdict in ENDINGS.items()},
        restrictions={},
        methods={"mend": Method("mend", "m", 1, Leaf("hole", "one-of", ("no", "yes")), "fix", "", BASIS, (), ())},
        cautions={},
        normalised=dict,
    )


ENDINGS = {"fix": Verdict.REPAIR, "send": Verdict.REFER, "wait": Verdict.HOLD, "bin": Verdict.SCRAP}


def _rulings(kind: str, number: str) -> tuple[Ruling, ...]:
    """Rulings of one block: a limit by itself and with a sign, and what a sign or a state brings."""
    size, sign, state = f"size-{number}", Leaf(f"sign-{number}", "is", ("yes",)), f"state-{number}"
    beyond = Leaf(size, "beyond", (f"limit-{number}",))
    if kind == "size":
        both = Join("all", (beyond, sign))
        return (
            Ruling(f"large-{number}", size, beyond, "b", BASIS, "send"),
            Ruling(f"large-signed-{number}", size, both, "b", BASIS, "bin"),
        )
    if kind == "sign":
        return (Ruling(f"signed-{number}", f"sign-{number}", sign, "b", BASIS, "send"),)
    bad = Leaf(state, "is", ("yes",))
    either = Join("all", (bad, Join("any", (sign, beyond))))
    return (
        Ruling(f"bad-{number}", state, bad, "b", BASIS, "wait"),
        Ruling(f"bad-and-worse-{number}", state, either, "b", BASIS, "bin"),
    )


def of_process(command: list[str], checkout: Path = CHECKOUT) -> float:
    """Processor seconds of a whole process, the quickest of a few."""
    own = {"PYTHONPATH": str(checkout), "ADVISOR_CACHE": f"/tmp/cache-of-{checkout.name}"}
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    times = []
    for _ in range(ROUNDS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, env={**environment, **own}, cwd=checkout, stdout=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


def whole(against: Path | None) -> None:
    """`advisor check us-road` on top of `python -c pass`, here and in another checkout."""
    bare = of_process([sys.executable, "-c", "pass"])
    check = [sys.executable, "-m", "advisor", "check", "us-road"]
    here = of_process(check) - bare
    noted("advisor check us-road on top of python -c pass", here, "s", AIM_S)
    if against is not None:
        there = of_process(check, against) - bare
        print(f"the same in {against}: {there:.2f} s, {there / here:.1f} times as much")


def with_more_rules(rules: RuleSet) -> None:
    """How the cost of us-road grows with made-up rulings beside its own."""
    before = 0.0
    for times in (1, 2, 4):
        larger = grown(rules, times)
        now = spent(lambda larger=larger: check_all(larger))  # type: ignore[misc]
        print(f"us-road x{times}: {len(list(larger.rulings()))} rulings, {now * 1000:.0f} ms")
        if before:
            noted(f"checks of {times}x the rules against {times // 2}x", now / before, "times", MOST_GROWTH)
        before = now


def main() -> int:
    """Prints the table; gives 1 where the growth is worse than linear by more than a quarter."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("blocks", nargs="?", type=int, default=BLOCKS, help="blocks of the synthetic rule set")
    parser.add_argument("--against", type=Path, help="another checkout, to be measured in turn")
    options = parser.parse_args()
    whole(options.against)
    folder = find_rule_set("us-road")
    read = spent(lambda: load_rule_set(folder))
    rules = load_rule_set(folder)
    check_all(rules)  # what is imported when first used is not counted
    checked = spent(lambda: check_all(rules))
    print(f"us-road: read {read * 1000:.0f} ms, checked {checked * 1000:.0f} ms, {checked / read:.1f} times reading it")
    with_more_rules(rules)
    before, worst = 0.0, 0.0
    for times in (1, 10, 100):
        rules = synthetic(options.blocks * times)
        now = spent(lambda rules=rules: check_all(rules))  # type: ignore[misc]
        count = len(list(rules.rulings()))
        ratio = f", {now / before:.1f} times the one before" if before else ""
        print(f"synthetic x{times}: {count} rulings, {now * 1000:.0f} ms, {now / count * 1e6:.0f} µs a ruling{ratio}")
        worst, before = max(worst, now / before if before else 0), now
    return 1 if worst > 12.5 else 0


if __name__ == "__main__":
    sys.exit(main())

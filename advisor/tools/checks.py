"""The maintainer's checks beyond what loading itself refuses; one module, one check, which explains itself."""

from __future__ import annotations

from collections.abc import Collection, Container, Iterable, Iterator
from types import ModuleType

from msgspec.structs import replace

from advisor.loader.kept_language import Remembers
from advisor.loader.renamed import asked_as_inputs
from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.start import at_rest
from advisor.tools import case_ends
from advisor.tools.as_proved import as_proved
from advisor.tools.check_docs import CheckDoc, docs_of
from advisor.tools.lint import (
    belied_verdicts,
    chart_gaps,
    choice_words,
    connectivity,
    driver_words,
    literal_figures,
    misfits,
    orders,
    placeholders,
    plausible_ranges,
    renamed_inputs,
    repeated_conditions,
    sides,
    stages,
    standings,
    untold_sides,
    unused,
)
from advisor.tools.verify import (
    completeness,
    dead_rules,
    determinism,
    inert_limits,
    limit_tables,
    monotonicity,
    shadowed_rules,
    uncertainty,
)
from advisor.tools.verify.workbench import make_bench

#: In the order in which their problems are shown; each has a function `check` and the sections of `check_docs`.
CHECKS = (
    connectivity,
    unused,
    repeated_conditions,
    renamed_inputs,
    literal_figures,
    placeholders,
    misfits,
    choice_words,
    standings,
    determinism,
    dead_rules,
    shadowed_rules,
    inert_limits,
    limit_tables,
    completeness,
    orders,
    plausible_ranges,
    monotonicity,
    uncertainty,
    chart_gaps,
    stages,
    untold_sides,
    sides,
    belied_verdicts,
    driver_words,
)
#: Those that prove something of all cases, which takes longest: they draw on the bench of the rules.
PROOFS = tuple(module for module in CHECKS if hasattr(module, "bench_of"))
#: What explains its problems: the checks of a rule set, and that of the cases beside it.
EXPLAINED = (*CHECKS, case_ends)


def failing(proofs: Collection[ModuleType], rules: RuleSet, memory: Remembers | None = None) -> frozenset[ModuleType]:
    """Those of some proofs that find something in rules `as_proved`; of states that the memory has, if there is one."""
    found = set[ModuleType]()
    with at_rest():
        for known in map(asked_as_inputs, rules.periods if proofs else ()):
            found.update(_failing(proofs, known) if memory is None else _failing_anew(proofs, known, memory))
    return frozenset(found)


def _failing(proofs: Iterable[ModuleType], rules: RuleSet) -> Iterator[ModuleType]:
    return (module for module in proofs if any(True for _ in module.check(rules)))


def _failing_anew(proofs: Iterable[ModuleType], rules: RuleSet, memory: Remembers) -> Iterator[ModuleType]:
    """The same, without what asked the engine nothing and found nothing where all that it goes by was the same."""
    bench = make_bench(rules, memory)
    view = bench.view()
    for module in proofs:
        key = memory.key(f"{module.__name__} as seen", *view) if view is not None else ""
        if key and memory.recalled(key):
            continue
        bench.asked_engine = False
        if any(_failing([module], rules)):
            yield module
        elif key and not bench.asked_engine:
            memory.keep(key, True)


def problems_of(rules: RuleSet, failed: Container[ModuleType] | None = None) -> list[Problem]:
    """Every problem that a check finds, in the order of the checks, which know inputs by the program's names.

    `failed`: the proofs that find something in these rules `as_proved`, where that is known; they are held once more of
    the whole rules, which have the places.

    The collector of reference cycles rests meanwhile: there are none to collect, and on a large rule set it costs more
    than all checks together.
    """
    with at_rest():
        failed = failing(PROOFS, as_proved(rules)) if failed is None else failed
        checks = [module for module in CHECKS if module not in PROOFS or module in failed]
        found = _of_period(rules.periods[0], checks)
        for period in rules.periods[1:]:
            told = {(problem.id, problem.place, problem.found) for problem in found}
            more = (each for each in _of_period(period, checks) if (each.id, each.place, each.found) not in told)
            found += [replace(each, found=f"from {period.day} on: {each.found}") for each in more]
        return found


def _found(checks: Iterable[ModuleType], rules: RuleSet) -> Iterator[Problem]:
    return (problem for module in checks for problem in module.check(rules))


def _of_period(rules: RuleSet, checks: Iterable[ModuleType]) -> list[Problem]:
    """Every problem of a rule set with its limits as they stand on one day."""
    known = asked_as_inputs(rules)
    found = list(_found(checks, known))
    return found if known is rules else [_by_name(problem, rules) for problem in found]


def _by_name(problem: Problem, rules: RuleSet) -> Problem:
    """A problem that names renamed questions by the ids that they bear."""
    names = {f'"{rules.input_of(name)}"': f'"{name}"' for name in rules.questions if rules.input_of(name) != name}
    found = problem.found
    for known, name in names.items():
        found = found.replace(known, name)
    return replace(problem, found=found)


def check_docs() -> dict[str, CheckDoc]:
    """What every id that a check reports under means, by id."""
    return {doc.id: doc for module in EXPLAINED for doc in docs_of(module)}

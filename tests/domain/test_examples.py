"""The docstrings of the trade: their examples run, every public function has one, and they name what is there."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

import advisor.domain
from advisor.model.quantity import between, exactly

MODULES = [found.name for found in pkgutil.walk_packages(advisor.domain.__path__, "advisor.domain.")]
#: Public functions of the trade without an example, and why.
WITHOUT_EXAMPLE = {
    "advisor.domain.unit_choice.rows_for": "takes rows of a shop's chart, eleven fields each: test_unit_chart.py",
    "advisor.domain.unit_choice.pick": "as rows_for",
}
#: What every example may use without saying where it comes from.
GIVEN = {"exactly": exactly, "between": between}
_PARAMETER = re.compile(r"^(\*{0,2}\w+(?:, \w+)*) : ", re.MULTILINE)


def public_functions(module: ModuleType) -> Iterator[tuple[str, Callable[..., Any]]]:
    """The public functions that a module defines, behind whatever wraps them."""
    for name, found in vars(module).items():
        plain = inspect.unwrap(found) if callable(found) else found
        if inspect.isfunction(plain) and not name.startswith("_") and plain.__module__ == module.__name__:
            yield f"{module.__name__}.{name}", plain


def example_faults(module: ModuleType) -> list[str]:
    """What the examples of a module get wrong, as doctest tells it."""
    said: list[str] = []
    runner = doctest.DocTestRunner(verbose=False, optionflags=doctest.ELLIPSIS)
    for test in doctest.DocTestFinder(exclude_empty=True).find(module, module.__name__, extraglobs=GIVEN):
        runner.run(test, out=said.append)
    return said


def missing_examples(module: ModuleType) -> list[str]:
    """Public functions whose docstring runs nothing."""
    parser = doctest.DocTestParser()
    return [name for name, found in public_functions(module) if not parser.get_examples(found.__doc__ or "")]


def section(doc: str, title: str) -> str:
    """The text of a numpydoc section; empty where the docstring has none."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w+\n-+$|\Z)", inspect.cleandoc(doc), re.MULTILINE | re.DOTALL)
    return found[1].strip() if found else ""


def parameter_faults(module: ModuleType) -> list[str]:
    """Functions whose section Parameters names others than those that they take."""
    faults = []
    for name, found in public_functions(module):
        told = section(found.__doc__ or "", "Parameters")
        names = {each.strip("* ") for row in _PARAMETER.findall(told) for each in row.split(",")}
        if told and names != set(inspect.signature(found).parameters):
            faults.append(f"{name}: {sorted(names ^ set(inspect.signature(found).parameters))}")
    return faults


def made_up(text: str) -> ModuleType:
    """A module with this source text."""
    module = ModuleType("made_up")
    exec(text, vars(module))
    return module


@pytest.mark.parametrize("name", MODULES)
def test_examples_give_what_they_say(name: str) -> None:
    assert example_faults(importlib.import_module(name)) == []


def test_examples_that_run_are_counted() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    found = [test for name in MODULES for test in finder.find(importlib.import_module(name), name) if test.examples]
    assert len(found) >= sum(len(list(public_functions(importlib.import_module(name)))) for name in MODULES) - len(
        WITHOUT_EXAMPLE
    )


def test_every_public_function_of_the_trade_has_an_example() -> None:
    missing = {each for name in MODULES for each in missing_examples(importlib.import_module(name))}
    assert missing == set(WITHOUT_EXAMPLE)


def test_parameters_are_told_by_the_names_that_they_have() -> None:
    assert [fault for name in MODULES for fault in parameter_faults(importlib.import_module(name))] == []


def test_a_wrong_example_a_missing_one_and_a_renamed_parameter_are_found() -> None:
    wrong = made_up('def half(mm):\n    """Half.\n\n    >>> half(5)\n    2\n    """\n    return mm / 2')
    assert "Expected:\n    2\nGot:\n    2.5" in "".join(example_faults(wrong))
    assert missing_examples(made_up('def half(mm):\n    """Half."""\n    return mm / 2')) == ["made_up.half"]
    renamed = (
        'def half(mm):\n    """Half.\n\n    Parameters\n    ----------\n    width : mm\n    """\n    return mm / 2'
    )
    assert parameter_faults(made_up(renamed)) == ["made_up.half: ['mm', 'width']"]
    assert not parameter_faults(made_up(renamed.replace("width", "mm")))

"""No test may touch this user's own journal or kept rules: each run has folders of its own.

What costs time and is the same for every test is made once: the rule sets that are shipped. A test that has a longer
form says so by the mark or the fixture `long`; that form is run with `--long`.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from advisor import start
from advisor.loader import ruleset_loader
from advisor.loader.composed import Composed
from advisor.loader.kept_language import KeptLanguage
from advisor.loader.paths import trees_folder
from advisor.model.ruleset import RuleSet
from tests.asking import asked_in_order

FOLDERS = ("ADVISOR_DATA", "ADVISOR_CACHE")
#: The fixtures by which a test has a longer form.
LONGER = {"long", "faults_until"}
#: The same examples each time, so that what fails is of the change; drawn anew by `--hypothesis-profile default`.
settings.register_profile("the-same", derandomize=True)
settings.load_profile("the-same")


@pytest.fixture(autouse=True, scope="session")
def own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Points this user's folders elsewhere; gives that of the journal."""
    with pytest.MonkeyPatch.context() as patch:
        for name in FOLDERS:
            patch.setenv(name, str(tmp_path_factory.mktemp(name.casefold())))
        yield Path(os.environ["ADVISOR_DATA"])


asked_in_order()  # what a test module makes when it is imported, too


@pytest.fixture(autouse=True)
def order_of_asking(request: pytest.FixtureRequest) -> Iterator[None]:
    """Questions come one after another, as they stand in the rules, so that a test may type answers by their place.

    A test marked `free_order` has them as a technician has: what settles most comes first, several in one prompt.
    """
    asked_in_order(request.node.get_closest_marker("free_order") is None)
    yield
    asked_in_order()


@pytest.fixture(autouse=True, scope="session")
def shipped_rules_read_once() -> Iterator[None]:
    """What is shipped is read from its YAML once a process, as long as its files are the same; copies each time."""
    known: dict[tuple[object, ...], RuleSet] = {}
    load = ruleset_loader._load

    def kept(folder: Path, composed: Composed | None, language: KeptLanguage | None) -> RuleSet:
        if composed or language or folder.resolve().parent != trees_folder().resolve():
            return load(folder, composed, language)
        files = sorted(folder.parent.glob("*/*"))
        mark = (folder, *((file, file.stat().st_mtime_ns, file.stat().st_size) for file in files))
        if mark not in known:
            known[mark] = load(folder, composed, language)
        return known[mark]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ruleset_loader, "_load", kept)
        yield


@pytest.fixture(autouse=True, scope="session")
def nothing_is_frozen() -> Iterator[None]:
    """A program started within the tests leaves everything to the collector: else what they made would pile up."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(start, "done", gc.enable)
        yield


def pytest_addoption(parser: pytest.Parser) -> None:
    """What goes on for longer and so finds more."""
    parser.addoption("--long", action="store_true", help="instead: what has a longer form, and only that, in that form")
    says = "seconds of failing disks and histories in tests/journal/faults (default 6, with --long 60)"
    parser.addoption("--faults-seconds", default="", help=says)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Takes what is marked `long` only with `--long`, and then nothing without a longer form."""
    long = bool(config.getoption("--long"))

    def wanted(item: pytest.Item) -> bool:
        marked = item.get_closest_marker("long") is not None
        return (marked or bool(LONGER & set(getattr(item, "fixturenames", ())))) if long else not marked

    left = [item for item in items if not wanted(item)]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if wanted(item)]


@pytest.fixture(scope="session")
def long(request: pytest.FixtureRequest) -> bool:
    """Whether the longer form is asked for."""
    return bool(request.config.getoption("--long"))

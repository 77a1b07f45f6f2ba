"""No test may touch this user's own journal or kept rules: each run has folders of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

FOLDERS = ("ADVISOR_DATA", "ADVISOR_CACHE")


@pytest.fixture(autouse=True, scope="session")
def own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Points this user's folders elsewhere; gives that of the journal."""
    with pytest.MonkeyPatch.context() as patch:
        for name in FOLDERS:
            patch.setenv(name, str(tmp_path_factory.mktemp(name.casefold())))
        yield Path(os.environ["ADVISOR_DATA"])


def pytest_addoption(parser: pytest.Parser) -> None:
    """How long the disk is made to fail and histories are tried in tests/journal/faults; longer finds more."""
    parser.addoption("--faults-seconds", default="15", help="seconds for tests/journal/faults (default 15)")

"""No test may touch this user's own journal: each run has a data folder of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(autouse=True, scope="session")
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Points ADVISOR_DATA and ADVISOR_CACHE at folders of the run."""
    folders = {name: tmp_path_factory.mktemp("own") for name in ("ADVISOR_DATA", "ADVISOR_CACHE")}
    before = {name: os.environ.get(name) for name in folders}
    os.environ.update({name: str(folder) for name, folder in folders.items()})
    yield folders["ADVISOR_DATA"]
    for name, value in before.items():
        if value is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = value

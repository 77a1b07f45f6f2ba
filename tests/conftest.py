"""No test may touch this user's own journal: each run has a data folder of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(autouse=True, scope="session")
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Points ADVISOR_DATA at a folder of the run."""
    folder = tmp_path_factory.mktemp("data")
    before = os.environ.get("ADVISOR_DATA")
    os.environ["ADVISOR_DATA"] = str(folder)
    yield folder
    if before is None:
        os.environ.pop("ADVISOR_DATA", None)
    else:
        os.environ["ADVISOR_DATA"] = before

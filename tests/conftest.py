"""No test may touch this user's own journal: each run has folders of its own, for compiled files too."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

#: Each a folder of the run. Python's own variable lets the many processes that tests start share compiled files, also
#: where the run itself is told to write none.
FOLDERS = ("ADVISOR_DATA", "ADVISOR_CACHE", "PYTHONPYCACHEPREFIX")
NOT_WANTED = ("PYTHONDONTWRITEBYTECODE",)


@pytest.fixture(autouse=True, scope="session")
def own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Points this user's folders elsewhere; gives that of the journal."""
    with pytest.MonkeyPatch.context() as patch:
        for name in FOLDERS:
            patch.setenv(name, str(tmp_path_factory.mktemp(name.casefold())))
        for name in NOT_WANTED:
            patch.delenv(name, raising=False)
        yield Path(os.environ["ADVISOR_DATA"])

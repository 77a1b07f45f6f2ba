"""More of the same for `--long`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def first(few: int, values: Iterable[Any]) -> list[Any]:
    """The values as parameters of one test; those behind the first few are for `--long` alone."""
    return [value if place < few else pytest.param(value, marks=pytest.mark.long) for place, value in enumerate(values)]

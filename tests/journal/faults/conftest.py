"""How long the faults go on: shared among the tests of this folder."""

from __future__ import annotations

import time

import pytest


@pytest.fixture
def faults_until(request: pytest.FixtureRequest) -> float:
    """When a test stops making further faults, by the monotonic clock; each makes some in any case."""
    tests = sum("faults_until" in item.fixturenames for item in request.session.items)  # type: ignore[attr-defined]
    seconds = request.config.getoption("--faults-seconds") or (60 if request.config.getoption("--long") else 6)
    return time.monotonic() + float(seconds) / tests

"""How long the faults go on: shared among the tests of this folder."""

from __future__ import annotations

import time

import pytest


@pytest.fixture
def faults_until(request: pytest.FixtureRequest) -> float:
    """When a test stops making further faults, by the monotonic clock; each makes some in any case."""
    tests = sum("faults_until" in item.fixturenames for item in request.session.items)  # type: ignore[attr-defined]
    return time.monotonic() + float(request.config.getoption("--faults-seconds")) / tests

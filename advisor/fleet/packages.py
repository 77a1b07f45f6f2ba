"""Packages that come with an extra only."""

from __future__ import annotations

from importlib.util import find_spec

from advisor.model.problems import Place, Problem, Problems


def needs(package: str, extra: str) -> None:
    """Raises Problems where a package is not installed that an extra brings."""
    if find_spec(package) is None:
        do = f"install it with: pip install 'tire-repair-advisor[{extra}]'"
        raise Problems([Problem("no-package", Place("command line"), f"no package {package}", "that package", do)])

"""One line for each ratio that a benchmark finds, in a form that `run.py` gathers into one table."""

from __future__ import annotations

MARK = "ratio |"


def noted(name: str, found: float, unit: str, aim: float | None = None) -> bool:
    """Says a ratio, such as 1.08 "x a bare Textual app", and its aim at most; gives whether the aim was met."""
    met = aim is None or found <= aim
    state = "" if aim is None else f"at most {aim:g} | {'met' if met else 'MISSED'}"
    print(f"{MARK} {name} | {found:,.2f} {unit} | {state or '|'}", flush=True)
    return met

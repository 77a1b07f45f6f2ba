"""A trainer's page to print: what was learned, or the same tires by several people. No script; all typed is escaped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from advisor.model.problems import shown
from advisor.report.style import STYLE, policy
from advisor.wording.blocks import Block, Said, blocks_of, under

_LONGEST = 4000
_TEMPLATE = "practice.html.j2"


def practice_page(title: str, sheets: Sequence[tuple[str, Sequence[Said]]]) -> str:
    """The page: a sheet for each name, each with its blocks."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, finalize=_fit,
        trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    environment.globals["style"] = Markup(STYLE)  # noqa: S704 - our own file
    template = environment.get_template(_TEMPLATE)
    rows = [(name, list(_rows(blocks))) for name, blocks in sheets]
    return template.render(title=title, sheets=rows, policy=policy())


def _rows(said: Sequence[Said]) -> Iterator[tuple[str, list[str]]]:
    for block in blocks_of(said):
        assert isinstance(block, Block)
        yield block.said, [each.said for each in under(block)]


def _fit(value: Any) -> Any:
    """A text with the signs that could steer anything by name; the template escapes it after that."""
    from markupsafe import Markup

    return shown(value, _LONGEST) if isinstance(value, str) and not isinstance(value, Markup) else value

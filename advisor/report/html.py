"""The report as one self-contained HTML page: no script, no network, everything typed is escaped.

What stands where is said by `page.html.j2`, how it looks by `page.css`; both may be edited without this module.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.drawings.render_svg import svg
from advisor.model.problems import shown
from advisor.report.small_drawing import small_drawing
from advisor.report.style import STYLE, policy
from advisor.work.record_model import Report

if TYPE_CHECKING:
    from jinja2 import Template

_LONGEST = 4000


def report_page(reports: Sequence[Report]) -> str:
    """The page of one or several reports, each beginning a sheet of its own in print."""
    title = f"{reports[0].title}: {', '.join(dict.fromkeys(report.sign for report in reports))}"
    return _template().render(reports=reports, title=title, policy=policy())


@lru_cache(maxsize=1)
def _template() -> Template:
    """The template, compiled; Jinja is imported here, so that only a page waits for it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    def fit(value: Any) -> Any:
        """A text with the signs that could steer anything by name; the template escapes it after that."""
        return shown(value, _LONGEST) if isinstance(value, str) and not isinstance(value, Markup) else value

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, finalize=fit,
        trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    environment.globals["style"] = Markup(STYLE)  # noqa: S704 - our own file
    environment.globals["sketch"] = lambda place, name: Markup(small_drawing(place, name))  # noqa: S704 - escapes too
    environment.globals["drawing"] = lambda picture, name: Markup(svg(picture, name))  # noqa: S704 - escapes its texts
    return environment.get_template("page.html.j2")

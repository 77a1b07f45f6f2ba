"""The report as one self-contained HTML page: no script, no network, everything typed is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from advisor.drawings.render_svg import svg
from advisor.model.problems import shown
from advisor.report.style import STYLE, policy
from advisor.work.record_model import RecordPart, Report
from advisor.work.step_text import StepLine

_LONGEST = 4000
#: The mark of a row, by whether its value is known.
_OPEN = {True: "", False: ' class="open"'}


def report_page(reports: Sequence[Report]) -> str:
    """The page of one or several reports, each beginning a sheet of its own in print."""
    title = f"{reports[0].title}: {', '.join(dict.fromkeys(report.sign for report in reports))}"
    body = "\n".join(_report(report, f"r{number}") for number, report in enumerate(reports, 1))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(policy())}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_text(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n{body}\n</main>\n"
        "</body>\n</html>\n"
    )


def _text(text: str) -> str:
    """A text fit for the page: signs that could steer anything by name, and every sign of the markup escaped."""
    return escape(shown(text, _LONGEST))


def _report(report: Report, prefix: str) -> str:
    when = f" &ndash; {report.day.isoformat()}" if report.day else ""
    head = f"<header>\n<h1>{_text(report.title)}{when}</h1>\n"
    head += f"<p>Case: {_text(report.name)}</p>\n" if report.name else ""
    head += "".join(f'<p class="mark">{_text(mark)}</p>\n' for mark in report.marks)
    head += "</header>\n"
    blocks = [
        _verdict(report),
        _section("What was looked at", _facts(report), prefix),
        _section("Drawings", _pictures(report, prefix), prefix),
        _section("Reasons", _reasons(report), prefix),
        _section(
            f"The work: {report.method}" if report.method else "The work",
            _steps(report.steps) + _list(report.notes, "Notes"),
            prefix,
        ),
        _section("Cautions", _cautions(report), prefix),
        _section("By these rules", _list(report.rules), prefix),
        _signature(report),
        _driver(report),
    ]
    return f'<article class="report">\n{head}{"".join(blocks)}</article>'


def _section(title: str, inner: str, prefix: str) -> str:
    return f"<section>\n<h2>{_text(title)}</h2>\n{inner}</section>\n" if inner else ""


def _list(texts: Iterable[str], title: str = "") -> str:
    items = "".join(f"<li>{_text(text)}</li>\n" for text in texts)
    head = f"<h3>{_text(title)}</h3>\n" if title else ""
    return f"{head}<ul>\n{items}</ul>\n" if items else ""


def _verdict(report: Report) -> str:
    open_still = "" if report.finished else "<p>Not everything needed was answered; what is open is shown below.</p>\n"
    return (
        f'<section class="verdict">\n<h2>Verdict</h2>\n<p><strong>{report.sign}</strong><br>'
        f"{_text(report.headline)}</p>\n{open_still}{_list(report.do_now, 'Do now')}"
        f"{_list(report.restrictions, 'Restrictions')}</section>\n"
    )


def _facts(report: Report) -> str:
    tables = "".join(map(_table, report.parts))
    return f'<div class="facts">\n{tables}</div>\n' if tables else ""


def _table(part: RecordPart) -> str:
    rows = "".join(
        f'<tr{_OPEN[row.known]}><th scope="row">{_text(row.name)}</th><td>{_text(row.value)}</td></tr>\n'
        for row in part.rows
    )
    return f"<table>\n<caption>{_text(part.title)}</caption>\n<tbody>\n{rows}</tbody>\n</table>\n" if rows else ""


def _pictures(report: Report, prefix: str) -> str:
    figures = "".join(
        f'<figure tabindex="0" aria-label="{_text(picture.title)}">\n'
        f"{svg(picture, f'{prefix}-drawing-{number}')}\n</figure>\n"
        for number, picture in enumerate(report.pictures, 1)
    )
    return figures + _list(report.distances, "Distances between repair units")


def _reasons(report: Report) -> str:
    rows = "".join(
        f"<tr><td>{_text(reason.verdict)}</td><td>{_text(reason.says)}</td>"
        f'<td class="small">{_text(reason.rests_on)}</td></tr>\n'
        for reason in report.reasons
    )
    head = '<tr><th scope="col">Counts for</th><th scope="col">Reason</th><th scope="col">Rests on</th></tr>'
    return f'<table class="reasons">\n<thead>\n{head}\n</thead>\n<tbody>\n{rows}</tbody>\n</table>\n' if rows else ""


def _steps(steps: Iterable[StepLine]) -> str:
    out, heading = "", None
    for number, step in enumerate(steps, 1):
        if step.heading != heading:
            out += "</ol>\n" if heading is not None else ""
            heading = step.heading
            out += f'<h3>{_text(heading)}</h3>\n<ol start="{number}">\n'
        box = "[x]" if step.done else "[&nbsp;&nbsp;]"
        done = f" <em>{_text(step.done)}</em>" if step.done else ""
        notes = "".join(f"<br>Note: {_text(note)}" for note in step.notes)
        notes = "".join(f"<br><b>{_text(limit)}</b>" for limit in step.restrictions) + notes
        notes = "".join(f"<br><b>HOLD: {_text(hold)}</b>" for hold in step.holds) + notes
        figures = "".join(f"<br>{_text(figure)}" for figure in step.figures)
        figures = f'<span class="small">{figures}</span>' if figures else ""
        standing = f'<span class="small">({_text(step.standing)})</span>'
        out += f'<li><span class="box">{box}</span> {_text(step.says)} {standing}{done}{notes}{figures}</li>\n'
    return out + ("</ol>\n" if heading is not None else "")


def _cautions(report: Report) -> str:
    items = "".join(f"<li><b>{_text(hazard)}:</b> {_text(says)}</li>\n" for hazard, says in report.cautions)
    return f'<ul class="small cautions">\n{items}</ul>\n' if items else ""


def _signature(report: Report) -> str:
    name = _text(report.technician)
    return (
        f'<div class="sign">\n<p>Technician: <span>{name}</span></p>\n<p>Signature: <span></span></p>\n'
        "<p>Date: <span></span></p>\n</div>\n"
    )


def _driver(report: Report) -> str:
    driver = report.driver
    by = f'<p class="small">Where it stands: {_text(driver.by)}</p>\n' if driver.by else ""
    marks = "".join(f'<p class="mark">{_text(mark)}</p>\n' for mark in report.marks)
    return (
        f'<section class="driver">\n<h2>For the driver (tear off)</h2>\n<p><strong>{report.sign}</strong>: '
        f"{_text(report.headline)}</p>\n{_list(driver.found, 'What was found')}{_list(driver.why, 'Why')}"
        f"{_list(driver.limits, 'What limits its use')}{_list(driver.now, 'What to do now')}"
        f'{by}{marks}<p class="small">{_text(driver.last_word)}</p>\n</section>\n'
    )

"""The drawings of a case as plain lines: each picture with its sentences, then the distances between the units."""

from __future__ import annotations

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.errors import shown
from advisor.plain.verdict_lines import bulleted, wrapped
from advisor.talk.drawings import distance_lines, left_out_lines, pictures_for, terminal_lines, too_close_lines
from advisor.tire.drawing import Names

COLUMNS = 80


def drawing_lines(
    judgement: Judgement, judge: Judge, name: str = "", unit: Names | None = None, ascii_only: bool = False
) -> list[str]:
    """The lines of all that can be drawn of a case, at most 80 columns wide, and what is lacking for the rest."""
    blocks: list[list[str]] = [[f"Case: {shown(name)}"]] if name else []
    blocks += [terminal_lines(picture, COLUMNS, ascii_only) for picture in pictures_for(judgement, judge, unit)]
    distances = (*distance_lines(judgement, judge, unit), *too_close_lines(judgement, judge))
    if distances:
        blocks.append(["Between the repair units:", *bulleted(distances)])
    left_out = [line for text in left_out_lines(judgement, judge) for line in wrapped(text)]
    if left_out:
        blocks.append(left_out)
    return [line for number, block in enumerate(blocks) for line in ([""] if number else []) + block]

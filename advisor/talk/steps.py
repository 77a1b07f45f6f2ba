"""The steps of the method, in order, each with what it rests on and the cautions that go with it."""

from __future__ import annotations

from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.step_figures import figure_lines, restriction_lines, standing_mark


def step_messages(consultation: Consultation) -> list[Message]:
    """The steps for this tire as things stand; none while no method is chosen."""
    judge, judgement = consultation.judge, consultation.judgement
    steps = judge.methods.plan(judgement)
    if not steps:
        return [Message("help", ("No method is chosen as things stand, so there are no steps.",))]
    lines: list[str] = []
    head = ""
    for number, planned in enumerate(steps, 1):
        where = "" if planned.injury is None else f", injury {planned.injury + 1}"
        if head != f"{planned.method.title}{where}":
            head = f"{planned.method.title}{where}"
            lines.append(f"{head}:")
        lines.append(f"  {number}. {planned.says} ({standing_mark(planned.step.basis.standing)})")
        lines += [f"  HOLD: {judge.caution_in_words(name, judgement)}" for name in planned.held]
        lines += [f"  Figure: {line}" for line in figure_lines(planned, judgement, judge)]
        lines += [f"  {line}" for line in restriction_lines(planned, judgement, judge)]
        shown = (name for name in planned.cautions if name not in planned.held)
        lines += [f"  Caution: {judge.caution_in_words(name, judgement)}" for name in shown]
    return [Message("help", tuple(lines))]

"""Where a question stands in the whole: its group, and how much is still to be asked; what becomes of the answers."""

from __future__ import annotations

from advisor.dialogue.asking_order import order_of
from advisor.dialogue.prompt import Ask
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.model import inputs
from advisor.model.case import TIRE, Key

#: The groups in their order.
QUESTION_GROUPS = ("tire", "inspection", "earlier repair", "injury")


#: Of more than so many nobody knows yet which will be asked: with the likely answers most of them never are.
FEW_ENOUGH = 6


def group_of(key: Key, judge: Judge) -> str:
    """The group that a question stands in: tire, inspection, earlier repair 1, injury 1."""
    place, index = group_place(key, judge)
    name = spelled(QUESTION_GROUPS[place], judge.rules)
    return name if index < 0 else f"{name} {index + 1}"


def group_place(key: Key, judge: Judge) -> tuple[int, int]:
    """Where that group stands among them. The inspection begins where it is asked whether the tire is demounted."""
    rules = judge.rules
    over = rules.questions[key[0]].over
    if over != "tire":
        return QUESTION_GROUPS.index("earlier repair" if over == inputs.OVER_REPAIRS else "injury"), key[1]
    order = {node.asks: place for place, node in reversed(list(enumerate(rules.nodes.values()))) if node.asks}
    begins = order.get(rules.question_now(inputs.DEMOUNTED), len(order))
    return int(order.get(key[0], 0) >= begins), TIRE


def place_in_whole(ask: Ask, judgement: Judgement, judge: Judge) -> str:
    """A question's group, and about how many more are asked, once that is known; or that they are for the record."""
    others = len({key for key in judgement.missing if key != ask.key})
    group = group_of(ask.key, judge)
    if not others:
        last = not order_of(judge).put_besides(judgement, (ask.key,)) and ask.key[0] not in _opens_more(judge)
        return f"{group} · the last one" if last else group
    if judgement.settled:
        return f"{group} · settled, {others} more for the record"
    return f"{group} · about {others} more" if others <= FEW_ENOUGH else group


def _opens_more(judge: Judge) -> set[str]:
    """The questions whether there is one more, behind which others may come."""
    return {part.more for part in judge.rules.parts if part.more}


def short_name(name: str) -> str:
    """A question's name without what its group says already."""
    injury, colon, rest = name.partition(": ")
    return (
        (rest if colon and injury.rpartition(" ")[2].isdigit() else name).removeprefix("the ").removeprefix("injury's ")
    )


def kept_words(kept: bool, going: bool = False) -> str:
    """What becomes of the answers when a consultation is begun anew; `going`: with a repair that is not done."""
    if kept and going:
        return "This repair stays open, its timers run on, and today (^Y) goes back into it. A new one begins."
    if kept:
        return "The answers so far stay in the journal (^R finds them) and are not offered again. A new one begins."
    return "Nothing is kept here, so all answers given so far are gone for good."

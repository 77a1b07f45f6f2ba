"""A consultation in plain lines answered by question, not by place in a list: what is typed at which question."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from advisor.console.session_lines import converse
from advisor.dialogue.session import Ask, Consultation
from tests.laws.ledger import TODAY, judge_of
from tests.laws.support import reply

#: Sound tires with a nail hole in the crown: what a technician would type at each question.
CAR = {
    "vehicle": "car", "wheel-position": "rear", "sidewall": "P215/65R16 96H", "tire-class": "1",
    "load-range": "SL", "construction": "radial", "tube": "tubeless", "retread": "1", "dot-code": "skip",
    "found-pressure": "30 psi", "set-pressure": "33 psi", "run-low": "no", "demounted": "yes", "sealant": "no",
    "run-low-inside": "none", "findings": "none", "tread-depth": "9/32", "self-supporting": "no",
    "earlier-repairs": "no", "injury-depth": "through", "injury-zone": "crown", "injury-size": "5 mm",
    "injury-length": "skip", "injury-angle": "10", "inside-signs": "none", "more-injuries": "no",
}  # fmt: skip
TRUCK = {
    **CAR, "vehicle": "truck", "wheel-position": "drive", "sidewall": "275/70R22.5 148/145M LRH", "tire-class": "3",
    "load-range": "H", "found-pressure": "104 psi", "set-pressure": "110 psi", "tread-depth": "12/32",
}  # fmt: skip


def talked(answers: Mapping[str, str], then: Iterable[str] = (), rules: str = "us-road", most: int = 80) -> Talk:
    """A consultation answered to its end, then some more lines typed; a question left open by those is answered too."""
    return Talk(answers, then, rules, most)


class Talk:
    """What was typed and what was said; `consultation` is where it stands."""

    def __init__(self, answers: Mapping[str, str], then: Iterable[str], rules: str, most: int) -> None:
        self.consultation = Consultation(judge_of(rules), TODAY)
        self.said: list[str] = []
        self._answers, self._then, self._most = answers, list(then), most
        self.said.extend(converse(self.consultation, self._lines(), lambda text: self.said.append(f"> {text}")))

    def _lines(self) -> Iterator[str]:
        put = set()
        for _ in range(self._most):
            ask = self.consultation.ask
            fresh = ask is not None and self.consultation.pending is None and not ask.given and ask.key not in put
            known = ask is not None and (ask.key[0] in self._answers or ask.optional or ask.question.older_cases)
            if ask is not None and fresh and known:
                put.add(ask.key)
                yield reply(self._answers, ask.question)
            elif self._then:
                yield self._then.pop(0)
            else:
                return

    def number(self, name: str) -> str:
        """The number under which the answers list the first of this name."""
        known = self.consultation.judge.rules.questions
        listed = [known[key[0]].name for key, *_ in self.consultation.answered]
        return str(listed.index(name) + 1)

    @property
    def verdict(self) -> str:
        """The verdict as things stand."""
        return str(self.consultation.judgement.verdict)

    @property
    def text(self) -> str:
        """All that was said, and typed, on one line."""
        return " ".join(" ".join(self.said).split())


def said_where_asked(
    answers: Mapping[str, str], question: str, said: str, rules: str = "us-road", in_order: bool = False, most: int = 90
) -> Consultation:
    """A consultation answered to its end by question, a line said first where one is put; what waits gets a yes.

    `question` may be `after` the verdict, or at the `work` that follows.
    """
    consultation = Consultation(judge_of(rules), TODAY, None, in_order)
    waiting, given = [said], Counter[str]()

    def lines() -> Iterator[str]:
        for _ in range(most):
            ask = consultation.ask
            if ask is not None and (ask.confirms or given[ask.key[0]] < 3):
                yield from _next_line(ask)
            elif waiting and ask is None:
                yield from ("work",) if question == "work" else ()
                yield waiting.pop()
            else:
                return

    def _next_line(ask: Ask) -> Iterator[str]:
        if ask.confirms:
            yield "yes"
        elif ask.key[0] == question and waiting:
            yield waiting.pop()
        else:
            given[ask.key[0]] += 1
            yield reply(answers, ask.question)

    for _ in converse(consultation, lines(), lambda text: None):
        pass
    assert not waiting, "the line was never said"
    return consultation

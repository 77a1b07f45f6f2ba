"""The demo transcripts, read once and played as a consultation whose judgements can be looked at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from advisor.console.replaying import RecordedTranscript, read_transcript
from advisor.dialogue.event_sink import said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case

FOLDER = Path(__file__).resolve().parents[2] / "transcripts_demo"
FILES = sorted(FOLDER.glob("*.txt"))
#: The consultations among them; the others are sittings of practice.
NAMES = [file.stem for file in FILES if "\npractise: " not in file.read_text(encoding="utf-8")]


@dataclass(frozen=True)
class Played:
    """A transcript played: what stood at each end of the questions, and the case at its last line."""

    transcript: RecordedTranscript
    ends: tuple[Judgement, ...]
    case: Case
    kept: tuple[bool, ...]

    @property
    def last(self) -> Judgement:
        """The judgement that stands at the end."""
        return self.ends[-1]

    @property
    def verdicts(self) -> list[str]:
        """The verdicts at each end, a repeated one once."""
        found = [str(judgement.verdict) for judgement in self.ends]
        return [verdict for place, verdict in enumerate(found) if place == 0 or verdict != found[place - 1]]

    @property
    def typed(self) -> list[str]:
        """The typed lines."""
        return [text for _, text in self.transcript.typed]

    def said(self, question: str, part: str = "tire", index: int = -1) -> str:
        """An answer's id, or what it is, as text."""
        answer = self.case.get(part, (question, index))
        return getattr(answer, "id", str(answer))


@cache
def judge(rules: str = "us-road") -> Judge:
    """The judge of the rules that a transcript names; most name those for US roads."""
    return Judge(load_rule_set(find_rule_set(rules)))


@cache
def transcript(name: str) -> RecordedTranscript:
    """A transcript by the file's name without its ending."""
    return read_transcript((FOLDER / f"{name}.txt").read_text(encoding="utf-8"), f"{name}.txt")


@cache
def play(name: str) -> Played:
    """Plays a transcript line by line."""
    consultation = Consultation(judge(transcript(name).rules), transcript(name).today, None, transcript(name).in_order)
    ends: list[Judgement] = []
    kept: list[bool] = []
    for _, text in transcript(name).typed:
        before = consultation.case
        messages = said_aside(None, consultation, text)
        messages = say(consultation, text) if messages is None else messages
        if any(message.kind == "complaint" for message in messages):
            kept.append(consultation.case is before)
        if consultation.ask is None and (not ends or ends[-1] is not consultation.judgement):
            ends.append(consultation.judgement)
    if not ends or ends[-1] is not consultation.judgement:
        ends.append(consultation.judgement)
    return Played(transcript(name), tuple(ends), consultation.case, tuple(kept))

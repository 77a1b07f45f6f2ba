"""What can be asked for besides the open question: a change, a word, a file name, a yes to something grave."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Protocol

from advisor.dialogue.answer_list import ask_again
from advisor.dialogue.event_sink import Recorder, at_its_end
from advisor.dialogue.session import Consultation
from advisor.explain.why import explain_word
from advisor.loader.answer_codec import plain
from advisor.model.problems import shown
from advisor.tui import prompt_bar
from advisor.tui.export_text import default_name, save, save_folder, saved_text
from advisor.tui.prompt_bar import Prompt, PromptRow, Refused
from advisor.tui.rendering import TurnLog
from advisor.wording.messages import Message

YES, NO = ("yes", "y"), ("no", "n")


class Host(Protocol):
    """Who a dialog is opened over: the consultation, what was said so far, the line, and a way back to them."""

    consultation: Consultation
    transcript: TurnLog
    recorder: Recorder | None
    text: str
    leaving: bool
    left_work: bool
    saved: Path | None
    page_of: Callable[[Consultation], str] | None

    @property
    def now(self) -> Callable[[], datetime]:
        """The clock."""

    def close(self, *messages: Message, typed: str = "") -> None:
        """Goes back to the question, and says these."""

    def say_aside(self, text: str) -> bool:
        """Takes what is said of the consultation beside its answers."""


class Aside:
    """Something asked for besides the question; leaves it and the line as they were."""

    def __init__(self, prompt: Prompt) -> None:
        self.prompt = prompt

    def take(self, host: Host, row: PromptRow) -> None:
        """Takes a row."""
        raise NotImplementedError

    def typed(self, host: Host, text: str) -> None:
        """Takes a typed line. Raises Refused."""
        place = self.prompt.row_numbered(text)
        if place is None:
            raise Refused(f'"{shown(text, 60)}" is none of the rows above. Esc goes back.')
        self.take(host, self.prompt.rows[place])


class ChangeAnswer(Aside):
    """Picks an earlier answer to change."""

    def __init__(self, host: Host) -> None:
        super().__init__(prompt_bar.change_prompt(host.consultation))

    def take(self, host: Host, row: PromptRow) -> None:
        """Asks that question again."""
        assert isinstance(row.means, tuple)
        host.close(*ask_again(host.consultation, row.means))


class ExplainWord(Aside):
    """Picks or types a term to be explained."""

    def __init__(self, host: Host) -> None:
        ask = host.consultation.ask
        asked = f"{ask.asks} {ask.how}" if ask else ""
        super().__init__(prompt_bar.word_prompt(host.consultation.judge, asked))

    def take(self, host: Host, row: PromptRow) -> None:
        """Explains the term of a row."""
        self.typed(host, row.says)

    def typed(self, host: Host, text: str) -> None:
        """Explains a typed term. Raises Refused with the nearest ones."""
        if not text.strip():
            raise Refused("Type a word, or pick one with the arrows. Esc goes back.")
        message = explain_word(text.strip(), host.consultation.judge)
        if message.kind == "complaint":
            raise Refused(*message.texts)
        host.close(message, typed=f"what is {text.strip()}")


class SaveAs(Aside):
    """Asks for a file's name and saves the result there."""

    def __init__(self, host: Host) -> None:
        super().__init__(prompt_bar.file_prompt(default_name(host.now()), shown(str(save_folder()), 200)))

    def typed(self, host: Host, text: str) -> None:
        """Saves. Raises Refused when it can't be done."""
        if not text.strip():
            raise Refused("Type a file name. Esc goes back.")
        name = text.strip()
        path = host.saved = save(Path(name), saved_text(host.consultation, name, host.page_of))
        host.close(Message("note", (f"Saved as {shown(str(path))}",)))


class NameTire(Aside):
    """Asks once, at the verdict, whose tire it was: casing or fleet number, plate, where it sat."""

    def __init__(self) -> None:
        super().__init__(prompt_bar.name_prompt())

    def typed(self, host: Host, text: str) -> None:
        """Keeps what was typed. Raises Refused where nothing was."""
        named = [part.strip() for part in text.split(",", 2)]
        kept = [(field, words) for field, words in zip(("casing", "plate", "note"), named, strict=False) if words]
        if not kept or host.recorder is None:
            raise Refused("Type the casing's number, or a plate after a comma. Esc goes back.")
        host.close()
        for field, words in kept:
            words = f"it sat: {words}" if field == "note" else words
            if field == "note":
                host.recorder.add(field, words)
            else:
                host.say_aside(f"{field} {words}")


class _Sure(Aside):
    """A yes or no before something that can't be taken back."""

    def typed(self, host: Host, text: str) -> None:
        """Takes yes or no as typed. Raises Refused."""
        word = plain(text)
        if word in (*YES, *NO):
            self.take(host, self.prompt.rows[0 if word in YES else 1])
        else:
            super().typed(host, text)

    def take(self, host: Host, row: PromptRow) -> None:
        """Carries it out, or goes on."""
        if row.means == "yes":
            self.go(host)
        else:
            host.close()

    def go(self, host: Host) -> None:
        """Carries it out."""
        raise NotImplementedError


class StartOver(_Sure):
    """Begins anew after a yes."""

    def __init__(self, host: Host) -> None:
        kept = host.recorder is not None and host.recorder.safe
        going = host.consultation.work.begun and not at_its_end(host.consultation)
        super().__init__(prompt_bar.start_over_prompt(kept, going))

    def go(self, host: Host) -> None:
        """Drops all answers and the conversation."""
        messages = host.consultation.start_over()
        host.left_work = False
        host.transcript.clear()
        host.close(*messages)
        host.text = ""


class TakeUp(_Sure):
    """Offers a consultation that was not brought to an end; `take_up` gives what is to be said, then."""

    def __init__(self, says: str, take_up: Callable[[], list[Message]], put_away: Callable[[], list[Message]]) -> None:
        super().__init__(prompt_bar.take_up_prompt(says))
        self._take_up, self._put_away = take_up, put_away

    def take(self, host: Host, row: PromptRow) -> None:
        """Goes on with it, leaves it for later, or puts it away."""
        if row.means == "drop":
            host.close(*self._put_away())
        else:
            super().take(host, row)

    def go(self, host: Host) -> None:
        """Goes on where it was left."""
        host.close(*self._take_up())


class Leave(_Sure):
    """Leaves the program after a yes."""

    def __init__(self, host: Host) -> None:
        super().__init__(prompt_bar.quit_prompt())

    def go(self, host: Host) -> None:
        """Lets the screen close."""
        host.leaving = True

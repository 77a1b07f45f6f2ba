"""How questions are built, as intents.yaml gives it: lists of words (`stands-for`) and forms of sentences (`forms`).

A form is words in their order: `a/b_c` are alternatives, `@name` is a list of words, `[x]` may be left out, `*x` may
stand any number of times, `{said}` is what is asked for and `{any}` anything. Figures and their units stand here.
"""

from __future__ import annotations

import re
from functools import cached_property

from advisor.model.ruleset import RuleSet
from advisor.nlu.tokenizer import SPLITS

_BETWEEN = r"[\s,]+"
_HOLES = {"{said}": r"(?P<said>.+?)", "{any}": r"[a-z ]*?"}
FIGURE = r"\d+(?:[./]\d+)*(?: \d+/\d+)?"
#: Ahead of a figure, spelled or not.
_FIGURE_NEXT = rf"(?=\d|(?:\w+ )?(?:{'|'.join(SPLITS)})\b)"


class Forms:
    """The lists and forms of a rule set, each made a regular expression when it is first asked for."""

    def __init__(self, rules: RuleSet) -> None:
        self._kinds = rules.intents
        self._made: dict[tuple[str, str, str], re.Pattern[str]] = {}
        self._of: dict[str, list[re.Pattern[str]]] = {}

    def words(self, name: str) -> str:
        """The words of a list as alternatives, the longest first."""
        words = sorted(self._kinds[name].stands_for, key=len, reverse=True) if name in self._kinds else []
        return "|".join(re.escape(word.replace("_", " ")).replace(r"\ ", r"\s+") for word in words) or "(?!)"

    def around(self, name: str, before: str = "", after: str = "") -> re.Pattern[str]:
        """What finds a word of a list with something before or behind it."""
        key = name, before, after
        if key not in self._made:
            self._made[key] = re.compile(rf"{before}(?<!\w)(?:{self.words(name)})(?!\w){after}", re.IGNORECASE)
        return self._made[key]

    def has(self, name: str, text: str) -> bool:
        """Whether a text has a word of a list."""
        return self.around(name).search(text) is not None

    def said(self, name: str, text: str) -> str | None:
        """What stands at `{said}` in the form that a text has as a whole; None where it has none of them."""
        found = next((match for each in self._forms(name, r"\s*\??") if (match := each.fullmatch(text))), None)
        return found.groupdict().get("said") or "" if found is not None else None

    def begins(self, name: str, text: str) -> re.Match[str] | None:
        """The beginning of a text that has one of the forms."""
        return next((match for each in self._forms(name, r"\b") if (match := each.match(text))), None)

    def exactly(self, text: str) -> str:
        """A text without the words that say of a figure only that it is that one."""
        for each in self._forms("exactly-on", rf"{_BETWEEN}{_FIGURE_NEXT}"):
            text = each.sub("", text)
        return text

    @cached_property
    def supposing(self) -> str:
        """The first of the words that suppose something."""
        return self._kinds["supposing-if"].stands_for[0].replace("_", " ")

    @cached_property
    def unit(self) -> str:
        """The units behind a figure, as alternatives."""
        return rf"(?:(?:{self.words('unit')})(?!\w)|\"|°|%)"

    @cached_property
    def figure(self) -> re.Pattern[str]:
        """A figure with its unit."""
        return re.compile(rf"(?<![\w.:/])({FIGURE})\s*({self.unit})", re.IGNORECASE)

    def _forms(self, name: str, end: str) -> list[re.Pattern[str]]:
        if name not in self._of:
            forms = self._kinds[name].forms if name in self._kinds else ()
            self._of[name] = [re.compile(rf"\b{self._form(each)}{end}", re.IGNORECASE) for each in forms]
        return self._of[name]

    def _form(self, form: str) -> str:
        tokens, made = form.split(), ""
        for place, token in enumerate(tokens):
            words = _HOLES.get(token) or "(?:" + "|".join(map(self._word, token.strip("[]*").split("/"))) + ")"
            if token[0] in "[*":
                made += f"(?:{words}{_BETWEEN}){'?' if token[0] == '[' else '*'}"
            else:
                made += words + (_BETWEEN if place < len(tokens) - 1 else "")
        return made

    def _word(self, word: str) -> str:
        return self.words(word[1:]) if word.startswith("@") else re.escape(word.replace("_", " "))

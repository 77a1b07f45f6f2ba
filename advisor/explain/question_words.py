"""The words of a question: taken apart, written out and without their endings, as intents.yaml says."""

from __future__ import annotations

import re

from advisor.model.ruleset import RuleSet

_WORD = re.compile(r"\d+(?:[./]\d+)*|[a-z]+(?:'[a-z]+)?|[?]")
_THIRTY_SECONDS = re.compile(r"(\d)/32(?:nds?)?\b")
_SIGNS = (("’", "'"), ("`", "'"), ("-", " "), ("%", " percent "), ("°", " deg "))
_DOUBLED = re.compile(r"([bdgmnprt])\1$")
_LONGEST_WHOLE = 3


class QuestionWords:
    """How a rule set reads words."""

    def __init__(self, rules: RuleSet) -> None:
        def means(name: str) -> dict[str, str]:
            return dict(rules.intents[name].means) if name in rules.intents else {}

        self._intents = rules.intents
        self._written_out, self._endings, self._spelled = map(means, ("written-out", "word-ending", "spelled"))
        self._stems: dict[str, str] = {}

    def split(self, text: str) -> list[str]:
        """The words of a text in lower case, contractions written out; a question mark is one too."""
        found = list[str]()
        plain_text = _THIRTY_SECONDS.sub(r"\1 thirtysecond", text.casefold())
        for sign, read in _SIGNS:
            plain_text = plain_text.replace(sign, read)
        for word in _WORD.findall(plain_text):
            plain = self._written_out.get(word)
            if plain is None:
                ending = next((end for end in self._endings if word.endswith(end)), "")
                plain = f"{word.removesuffix(ending)} {self._endings[ending]}" if ending else word
            found += plain.replace("'", "").split()
        return found

    def stems(self, text: str) -> list[str]:
        """The words of a text without their endings."""
        return [self.stem(word) for word in self.split(text)]

    def of_class(self, name: str) -> frozenset[str]:
        """The stems of the words that intents.yaml gives under a name."""
        return frozenset(map(self.stem, self._intents[name].stands_for)) if name in self._intents else frozenset()

    def stem(self, word: str) -> str:
        """A word without its ending: plugs, plugged and plugging are plug."""
        found = self._stems.get(word)
        if found is None:
            found = self._stems[word] = _stem(self._spelled.get(word, word))
        return found


def _stem(word: str) -> str:
    if len(word) <= _LONGEST_WHOLE or word[0].isdigit():
        return word
    if word.endswith(("ies", "ied")) and len(word) > _LONGEST_WHOLE + 1:
        word = f"{word[:-3]}y"
    elif word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    for ending in ("ing", "ed"):
        rest = word.removesuffix(ending)
        if rest != word and len(rest) >= _LONGEST_WHOLE and re.search("[aeiouy]", rest):
            word = _DOUBLED.sub(r"\1", rest)
            break
    return word.removesuffix("e") if len(word) > _LONGEST_WHOLE else word

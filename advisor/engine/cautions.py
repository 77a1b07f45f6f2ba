"""Which cautions stand beside a verdict: those that contradict it, or mean nothing there, do not."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from advisor.model.ruleset import Caution, Verdict


def caution_fits(caution: Caution, verdict: Verdict, ending: str, restrictions: Collection[str]) -> bool:
    """Whether a caution makes sense on a card with this verdict, ending and restrictions."""
    named = not caution.fits or str(verdict) in caution.fits or ending in caution.fits
    return named and ending not in caution.not_with and not any(name in caution.not_with for name in restrictions)


class Fitting:
    """Which of a rule set's cautions fit a card."""

    #: For so many kinds of cards it is kept.
    MOST = 2_000

    def __init__(self, cautions: Mapping[str, Caution]) -> None:
        self._cautions = cautions
        self._known: dict[tuple[Verdict, str, tuple[str, ...]], frozenset[str]] = {}

    def on(self, verdict: Verdict, ending: str, restrictions: tuple[str, ...]) -> frozenset[str]:
        """The names of those that fit."""
        found = self._known.get((verdict, ending, restrictions))
        if found is None:
            if len(self._known) >= self.MOST:
                self._known.clear()
            every = self._cautions.items()
            found = frozenset(name for name, each in every if caution_fits(each, verdict, ending, restrictions))
            self._known[verdict, ending, restrictions] = found
        return found

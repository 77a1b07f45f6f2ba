"""Which cautions stand beside a verdict: those that contradict it, or mean nothing there, do not."""

from __future__ import annotations

from collections.abc import Collection

from advisor.model.ruleset import Caution, Verdict


def caution_fits(caution: Caution, verdict: Verdict, ending: str, restrictions: Collection[str]) -> bool:
    """Whether a caution makes sense on a card with this verdict, ending and restrictions."""
    named = not caution.fits or str(verdict) in caution.fits or ending in caution.fits
    return named and ending not in caution.not_with and not any(name in caution.not_with for name in restrictions)

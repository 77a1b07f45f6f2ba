"""Whether questions come one after another, as they stand in the rules, or as a technician has them."""

from __future__ import annotations

from advisor.dialogue.session import Consultation


def asked_in_order(in_order: bool = True) -> None:
    """From now on a consultation that does not say so itself has its questions in this way: for scripted answers."""
    Consultation.__init__.__defaults__ = (None, in_order)

"""Which injury a sentence speaks of, said while something else is asked."""

from __future__ import annotations

from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case
from advisor.nlu.pipeline import Listener

LISTENER = Listener(load_rule_set(find_rule_set("us-road")))


def test_the_number_of_the_repair_that_is_asked_about_is_no_injurys_number() -> None:
    heard = LISTENER.hear("I think it's in the shoulder and maybe 12 mm", Case(), ("repair-sound", 1))
    assert {one.key for one in heard.proposed} == {("injury-zone", 0), ("injury-size", 0)} and heard.injuries <= 1


def test_the_injury_that_is_asked_about_is_meant() -> None:
    heard = LISTENER.hear("I think it's in the shoulder and maybe 12 mm", Case(), ("injury-angle", 1))
    assert {one.key for one in heard.proposed} == {("injury-zone", 1), ("injury-size", 1)}

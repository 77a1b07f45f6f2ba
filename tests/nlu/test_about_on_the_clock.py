"""A clock position said to be about right keeps its doubt when it is heard in a sentence."""

from __future__ import annotations

import pytest

from advisor.domain.clock import ABOUT_DEG
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure
from advisor.nlu.pipeline import Listener

LISTENER = Listener(load_rule_set(find_rule_set("us-road")))


def clock_in(sentence: str) -> Measure:
    (one,) = [each for each in LISTENER.hear(sentence, None).understood if each.key[0] == "clock"]
    assert isinstance(one.answer, Measure)
    return one.answer


@pytest.mark.parametrize("about", ["about", "roughly at", "around"])
def test_about_is_a_quarter_of_an_hour_either_way(about: str) -> None:
    heard = clock_in(f"nail {about} 2 o'clock")
    assert (heard.low, heard.high) == (60 - ABOUT_DEG, 60 + ABOUT_DEG)


def test_without_it_the_position_is_as_said() -> None:
    assert clock_in("nail at 2 o'clock").exact
    assert clock_in("nail at 2:30, about 6 mm wide").exact

"""The screen against its kept pictures: the same words in the same places. Colours are for people to look at."""

from __future__ import annotations

import pytest

from tests.tui.driving import svg_text
from tests.tui.pictured_rules import pictured_rules
from tests.tui.scenes import FOLDER, SCENES, picture


@pytest.mark.parametrize("name", SCENES)
def test_the_words_stand_where_the_picture_has_them(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    scene = SCENES[name]
    monkeypatch.delenv("NO_COLOR", raising=False)
    if scene.no_colour:
        monkeypatch.setenv("NO_COLOR", "1")
    kept = svg_text((FOLDER / f"{name}.svg").read_text(encoding="utf-8"))
    now = svg_text(picture(scene, pictured_rules()))
    assert now == kept, "if that was meant: python -m tests.tui.write_pictures, then look at it"


def test_every_picture_has_its_scene() -> None:
    assert {path.stem for path in FOLDER.glob("*.svg")} == set(SCENES)


@pytest.mark.parametrize("name", SCENES)
def test_no_line_is_wider_than_the_terminal(name: str) -> None:
    width, height = SCENES[name].size
    lines = svg_text((FOLDER / f"{name}.svg").read_text(encoding="utf-8")).splitlines()
    assert len(lines) <= height
    assert max(map(len, lines)) <= width

"""A rule set that can't be read: every problem is said once the terminal is as it was, and the exit code is 2."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path

import pytest

from advisor.loader.ruleset_loader import find_rule_set
from advisor.model.problems import Problems
from advisor.tui import base_app
from advisor.tui.app import AdvisorApp
from advisor.tui.startup import open_desk


def _broken(folder: Path) -> str:
    for path in find_rule_set("us-road").iterdir():
        if path.is_file():
            text = path.read_text(encoding="utf-8")
            (folder / path.name).write_text(text, encoding="utf-8")
    for name in ("limits.yaml", "words.yaml"):
        with (folder / name).open("a", encoding="utf-8") as file:
            file.write("\nbroken-entry: {sayz: [x]}\n")
    return str(folder)


async def _left(app: AdvisorApp) -> AdvisorApp:
    async with app.run_test() as pilot:
        for _ in range(500):
            if app.return_value is not None:
                break
            await pilot.pause(0.01)
    return app


def test_every_problem_is_listed_and_the_code_is_2(tmp_path: Path) -> None:
    with pytest.raises(Problems) as found:
        open_desk(_broken(tmp_path), datetime.now)
    app = asyncio.run(_left(AdvisorApp(str(tmp_path))))
    assert app.return_value == 2
    assert app.farewell == str(found.value)
    assert "limits.yaml" in app.farewell
    assert "words.yaml" in app.farewell


@pytest.mark.parametrize("name", ["no-such-rules", "a\0b", "[/]", "/dev/null"])
def test_a_rule_set_that_is_not_there(name: str) -> None:
    app = asyncio.run(_left(AdvisorApp(name)))
    assert app.return_value == 2
    assert app.farewell


def test_what_is_left_to_say_goes_to_standard_error(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def run(self: AdvisorApp) -> int:
        self.farewell = "limits.yaml:1:1: broken"
        return 2

    monkeypatch.setattr(AdvisorApp, "run", run)
    assert base_app.run_screens("x") == 2
    assert capsys.readouterr().err == "limits.yaml:1:1: broken\n"


def test_an_error_while_drawing_ends_in_plain_words_with_the_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    app = AdvisorApp()
    monkeypatch.setattr(AdvisorApp, "is_headless", False)
    ended = []
    monkeypatch.setattr(AdvisorApp, "exit", lambda self, *given, **named: ended.append(named))
    app.talk_screen.desk = open_desk("", datetime.now)
    app.talk_screen.desk.pick_row(0)
    app._handle_exception(ValueError("[/] \x1b[31m"))
    assert ended == [{"return_code": 1}]
    assert "Traceback" not in app.farewell
    assert "\x1b" not in app.farewell
    assert "the vehicle: Car" in app.farewell

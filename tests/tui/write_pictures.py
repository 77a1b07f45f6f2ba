"""Writes the pictures of all scenes anew, after a change that was meant: python -m tests.tui.write_pictures.

Look at each one before it is kept.
"""

from __future__ import annotations

import os

import yaml

from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from tests.asking import asked_in_order
from tests.tui.pictured_rules import DRAWN_BY, ids_of, pictured_rules
from tests.tui.scenes import FOLDER, SCENES, picture


def main() -> None:
    """Writes them."""
    asked_in_order()
    ids = ids_of(find_rule_set(DEFAULT_RULES))
    DRAWN_BY.write_text(yaml.safe_dump(ids, default_flow_style=None, width=120), encoding="utf-8")
    for name, scene in SCENES.items():
        os.environ.pop("NO_COLOR", None)
        if scene.no_colour:
            os.environ["NO_COLOR"] = "1"
        (FOLDER / f"{name}.svg").write_text(picture(scene, pictured_rules()), encoding="utf-8")
        print(name)


if __name__ == "__main__":
    main()

"""Writes the pictures of all scenes anew, after a change that was meant: python -m tests.tui.write_pictures.

Look at each one before it is kept.
"""

from __future__ import annotations

import os

from tests.asking import asked_in_order
from tests.tui.scenes import FOLDER, SCENES, picture


def main() -> None:
    """Writes them."""
    asked_in_order()
    for name, scene in SCENES.items():
        os.environ.pop("NO_COLOR", None)
        if scene.no_colour:
            os.environ["NO_COLOR"] = "1"
        (FOLDER / f"{name}.svg").write_text(picture(scene), encoding="utf-8")
        print(name)


if __name__ == "__main__":
    main()

"""What an editor shows while rules are typed: a YAML language server over standard input and output, with our schemas.

`npm install yaml-language-server` somewhere and ADVISOR_YAML_SERVER=…/node_modules/yaml-language-server, else skipped.
"""

from __future__ import annotations

import json
import os
import queue
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.loader.paths import trees_folder

SERVER = os.environ.get("ADVISOR_YAML_SERVER", "")
pytestmark = pytest.mark.skipif(not SERVER, reason="no YAML language server: see ADVISOR_YAML_SERVER")
SETTINGS = {"yaml": {"hover": True, "completion": True, "validate": True, "schemaStore": {"enable": False}}}
LIMIT = "widest-opening: {beyond: "


class Editor:
    """An editor with one file open; it saves nothing."""

    def __init__(self, root: Path) -> None:
        command = ["node", f"{SERVER}/bin/yaml-language-server", "--stdio"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        self._came: queue.Queue[dict[str, Any]] = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()
        self._count, self._version, self.uri, self.text = 0, 0, "", ""
        item = {"completion": {"completionItem": {"documentationFormat": ["markdown"]}}}
        can = {"textDocument": item | {"hover": {"contentFormat": ["markdown"]}}}
        self.ask("initialize", {"processId": None, "rootUri": root.as_uri(), "capabilities": can})
        self.tell("initialized", {})
        self.tell("workspace/didChangeConfiguration", {"settings": SETTINGS})

    def close(self) -> None:
        self._process.kill()

    def _send(self, message: dict[str, Any]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._process.stdin
        self._process.stdin.write(b"Content-Length: %d\r\n\r\n%b" % (len(body), body))
        self._process.stdin.flush()

    def _listen(self) -> None:
        stream = self._process.stdout
        assert stream
        while line := stream.readline():
            if line.lower().startswith(b"content-length"):
                length = int(line.split(b":")[1])
                while stream.readline().strip():
                    pass
                self._came.put(json.loads(stream.read(length)))

    def _next(self) -> dict[str, Any]:
        message = self._came.get(timeout=60)
        if "method" in message and "id" in message:
            self._send({"id": message["id"], "result": None})
        return message

    def tell(self, method: str, params: Any) -> None:
        self._send({"method": method, "params": params})

    def ask(self, method: str, params: Any) -> Any:
        self._count += 1
        self._send({"id": self._count, "method": method, "params": params})
        while (message := self._next()).get("id") != self._count or "method" in message:
            pass
        return message["result"]

    def opened(self, path: Path, text: str) -> list[str]:
        """What is underlined once a text is typed into a file."""
        again, self.uri, self.text = self.uri == path.as_uri(), path.as_uri(), text
        self._version += 1
        document = {"uri": self.uri, "version": self._version}
        if again:
            changes = {"textDocument": document, "contentChanges": [{"text": text}]}
            self.tell("textDocument/didChange", changes)
        else:
            self.tell("textDocument/didOpen", {"textDocument": {**document, "languageId": "yaml", "text": text}})
        while (message := self._next()).get("method") != "textDocument/publishDiagnostics":
            pass
        assert message["params"]["uri"] == self.uri
        return [found["message"] for found in message["params"]["diagnostics"]]

    def _at(self, text: str) -> dict[str, Any]:
        before = self.text[: self.text.index(text) + len(text)]
        place = {"line": before.count("\n"), "character": len(before) - before.rfind("\n") - 1}
        return {"textDocument": {"uri": self.uri}, "position": place}

    def offered(self, after: str) -> dict[str, str]:
        """What is offered behind a text, with what is said of each."""
        found = self.ask("textDocument/completion", self._at(after))
        return {each["label"]: str(each.get("documentation", "")) for each in found["items"]}

    def pointed_at(self, text: str) -> str:
        """What is said where the pointer stands at the end of a text."""
        return str(self.ask("textDocument/hover", self._at(text))["contents"])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = shutil.copytree(trees_folder(), tmp_path / "trees", ignore=shutil.ignore_patterns("cases", ".schemas"))
    assert main(["schemas", str(copy / "us-road")]) == 0
    return Path(copy / "us-road")


@pytest.fixture
def editor(folder: Path) -> Iterator[Editor]:
    editor = Editor(folder)
    yield editor
    editor.close()


def test_ids_are_completed_explained_and_underlined(folder: Path, editor: Editor) -> None:
    for path in sorted(folder.glob("*.yaml")):
        assert editor.opened(path, path.read_text()) == [], path.name
    paths = folder / "paths.yaml"
    text = paths.read_text()
    start = text.index(LIMIT) + len(LIMIT)
    name = text[start : text.index("}", start)].split(",")[0]
    editor.opened(paths, text)
    assert "(published: " in editor.pointed_at(text[start - len(LIMIT) : start + 3])
    (found,) = editor.opened(paths, text[:start] + "no-such-limit" + text[start + len(name) :])
    assert found.startswith("no such limit") and "advisor check" in found
    assert editor.opened(paths, text.replace("ask: vehicle", "ask: vehicel", 1))[0].startswith("no such question")
    editor.opened(paths, text[:start] + text[start + len(name) :])
    assert "1/4 in or 6 mm" in editor.offered(LIMIT)["nail-hole-size-light"]


def test_an_id_just_added_is_known_after_a_check(
    folder: Path, editor: Editor, capsys: pytest.CaptureFixture[str]
) -> None:
    endings, cautions = folder / "endings.yaml", folder / "cautions.yaml"
    text = endings.read_text().replace("cautions: [", "cautions: [just-added, ", 1)
    assert editor.opened(endings, text)[0].startswith("no such caution")
    more = "{hazard: eyes, says: s, standing: from memory, source: memory, clause: none}"
    cautions.write_text(f"{cautions.read_text()}\njust-added: {more}\n")
    main(["check", str(folder)])
    changed = [{"uri": (folder / ".schemas" / "endings.json").as_uri(), "type": 2}]
    editor.tell("workspace/didChangeWatchedFiles", {"changes": changed})
    assert editor.opened(endings, text) == []
    capsys.readouterr()

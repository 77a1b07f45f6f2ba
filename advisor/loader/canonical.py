"""What a rule set says as plain data, for its digest: no comments, no white space, no order of keys, no quotes."""

from __future__ import annotations

import gc
from typing import Any

import yaml

from advisor.loader.overlay import merged

#: What was read: file name, its node, and whether it belongs to an overlay.
Read = list[tuple[str, yaml.Node, bool]]


def plain_data(node: yaml.Node) -> Any:
    """A node as plain dicts, lists and texts."""
    value = node.value
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(node, yaml.MappingNode):
        return {str(key.value): plain_data(item) for key, item in value}
    return [plain_data(item) for item in value]


def normalised(read: Read) -> dict[str, Any]:
    """What was read as plain data by file, overlays merged into what they build on.

    The collector of reference cycles rests meanwhile: nothing here makes any, and it costs half.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        content: dict[str, Any] = {}
        for name, node, over in read:
            content[name] = merged(content.get(name, {}), plain_data(node), name) if over else plain_data(node)
    finally:
        if collecting:
            gc.enable()
    return content

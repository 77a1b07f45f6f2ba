"""The digest of a rule set: a hash that says whether two of them mean the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

LENGTH = 16


def digest_of(content: Mapping[str, Any]) -> str:
    """A hash over plain data; the order of keys doesn't count. What it takes is imported when it is first asked for."""
    import hashlib
    import json

    text = json.dumps(content, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:LENGTH]

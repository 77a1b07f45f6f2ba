"""The style of the page, `page.css`, and the policy that lets the page use nothing else."""

from __future__ import annotations

import base64
import hashlib
from pathlib import Path

STYLE = "\n" + Path(__file__).with_name("page.css").read_text(encoding="utf-8")


def policy(style: str = STYLE) -> str:
    """A content-security policy that allows this style by its hash (CSP level 3, hash-source), and nothing else."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"

"""The style of the page, and the policy that lets the page use nothing else."""

from __future__ import annotations

import base64
import hashlib

STYLE = """
html { color: #000; background: #fff; font: 11pt/1.4 Georgia, "Times New Roman", serif; }
body { max-width: 46rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.4rem; margin: 0 0 .3rem; }
h2 { font-size: 1.1rem; margin: 1.2rem 0 .3rem; border-bottom: 1px solid #000; break-after: avoid; }
h3 { font-size: 1rem; margin: .8rem 0 .2rem; break-after: avoid; }
.verdict { border: 3px solid #000; padding: .5rem .8rem; margin: .8rem 0; break-inside: avoid; }
.verdict strong { font-size: 1.3rem; letter-spacing: .06em; }
.mark { border: 2px dashed #000; padding: .3rem .6rem; font-weight: bold; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; font-weight: bold; padding-top: .5rem; break-after: avoid; }
th, td { border: 1px solid #555; padding: .15rem .4rem; text-align: left; vertical-align: top; }
tr { break-inside: avoid; }
th[scope=row] { width: 42%; font-weight: normal; }
.open td { font-style: italic; }
.open td::before { content: "\\2014  "; }
ul { margin: .2rem 0; padding-left: 1.6rem; }
ol { margin: .2rem 0; padding-left: 2.6rem; }
.reasons td:first-child, .reasons th:first-child { width: 6.5rem; }
li { margin: .15rem 0; break-inside: avoid; }
.small { font-size: .86rem; }
.box { font-family: monospace; white-space: nowrap; }
figure { margin: .6rem 0; break-inside: avoid; }
figure svg { width: 100%; height: auto; }
.sign { display: flex; flex-wrap: wrap; gap: 1rem 2rem; margin-top: 2rem; break-inside: avoid; }
.sign span { border-bottom: 1px solid #000; min-width: 14rem; display: inline-block; min-height: 1.4rem; }
.driver { border-top: 2px dashed #000; margin-top: 2rem; padding-top: .6rem; break-inside: avoid; }
.report + .report { break-before: page; }
@page { margin: 14mm; }
@media print { body { max-width: none; padding: 0; } html { font-size: 9pt; line-height: 1.28; }
  th, td { padding: .08rem .3rem; } .facts, .cautions { columns: 2; column-gap: 1.2rem; }
  .facts table { margin-bottom: .5rem; } .facts th[scope=row] { width: 56%; } }
@media (max-width: 34rem) { body { padding: .5rem; } th[scope=row] { width: 48%; }
  figure { overflow-x: auto; } figure svg { min-width: 40rem; } }
"""


def policy(style: str = STYLE) -> str:
    """A content-security policy that allows this style by its hash (CSP level 3, hash-source), and nothing else."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"

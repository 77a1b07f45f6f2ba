"""Slips that read well and mean something else: pasted, doubled, swapped, led astray. The rest of the table."""

from __future__ import annotations

from tests.tools.slips import TYPED, Slip

PASTED = """\
            when: {sealant: {is: "yes"}}
            ending: hold-sealant
            because: b
            source: absence
"""
SEALANT = """\
            because: sealant hides injuries and keeps cement from holding
            source: shop-practice
"""


def led(node: str, to: str) -> tuple[str, str, str]:
    """A node led on to another one than follows."""
    return "paths.yaml", f"        ask: {node}\n", f"        ask: {node}\n        next: {to}\n"


MEANT = (
    # Pasted, doubled
    Slip(
        "question-pasted",
        "questions.yaml",
        "\nwheel-position:\n",
        "\nvehicle:\n  name: v\nwheel-position:\n",
        "duplicate-key",
        "vehicle:",
    ),
    Slip(
        "key-pasted",
        "limits.yaml",
        "  worse: above\n",
        "  worse: above\n  worse: below\n",
        "duplicate-key",
        "worse: below",
    ),
    Slip(
        "ruling-pasted",
        "paths.yaml",
        "      findings:\n        ask: findings\n",
        f"          - id: sealant-inside\n{PASTED}\n      findings:\n        ask: findings\n",
        "duplicate-ruling",
    ),
    Slip(
        "ruling-pasted-with-new-id",
        "paths.yaml",
        SEALANT,
        f"{SEALANT}          - id: sealant-again\n{PASTED}",
        "hidden-ruling",
        "id: sealant-again",
    ),
    Slip(
        "two-outcomes",
        "paths.yaml",
        "            ending: hold-sealant\n",
        "            ending: hold-sealant\n            allows: repair\n",
        "allows-and-bars",
    ),
    Slip(
        "value-named-as-question",
        "values.yaml",
        "\npressure-share:\n",
        "\nset-pressure:\n",
        "name-taken",
        "set-pressure",
    ),
    # YAML itself
    Slip("tab-as-indent", "limits.yaml", "  value: 80 %", "\tvalue: 80 %", "not-yaml"),
    Slip("quote-not-closed", "paths.yaml", 'optional: "yes"', 'optional: "yes', "not-yaml"),
    Slip("bracket-not-closed", "paths.yaml", "has-any: [broken-belt]}}", "has-any: [broken-belt}}", "not-yaml"),
    Slip("anchor-used", "limits.yaml", "value: 80 %", "value: &share 80 %", "no-anchor", "&share"),
    Slip("alias-used", "limits.yaml", "value: 80 %", "value: *share", "no-alias", "*share"),
    Slip("tag-used", "limits.yaml", "value: 80 %", "value: !!int 80 %", "no-tag", "!!int"),
    Slip(
        "list-for-text",
        "endings.yaml",
        "headline: The cut is too deep for the sidewall or bead.",
        "headline: [Too, deep]",
        "wrong-kind",
        "[Too",
    ),
    # The graph
    Slip("edge-to-another-part", *led("vehicle", "injury-depth"), "other-part", "next: injury-depth"),
    Slip("edge-deleted", *led("vehicle", "sidewall"), "unreached", "wheel-position:"),
    Slip("edge-back", *led("dot-code", "wheel-position"), "question-loop"),
    Slip("edge-to-itself", *led("vehicle", "vehicle"), "question-loop", "next: vehicle"),
    Slip(
        "first-node-waits",
        "paths.yaml",
        "        ask: vehicle\n",
        "        ask: vehicle\n        asked: {when: {retread: known}}\n",
        "nothing-before",
        "asked: {when: {retread: known}}",
    ),
    Slip(
        "node-in-two-parts",
        "paths.yaml",
        "      unit-width:\n",
        "      injury-size:\n",
        "duplicate-key",
        "injury-size:",
    ),
    Slip(
        "way-on-doubled",
        "paths.yaml",
        "          - go: load-range\n",
        "          - when: {tire-class-read: {one-of: [passenger, other]}}\n            go: tube\n"
        "          - go: load-range\n",
        "two-next-steps",
        "- when: {tire-class-read",
    ),
    Slip(
        "way-on-behind-another",
        "paths.yaml",
        "          - when: {injury-depth: {is: reaches-cord}}\n            go: inside-signs\n",
        "          - when: {injury-depth: {one-of: [rubber-only, reaches-cord]}}\n            go: inside-signs\n"
        "          - when: {injury-depth: {is: reaches-cord}}\n            go: injury-size\n",
        "hidden-way",
        "- when: {injury-depth: {is: reaches-cord}}",
    ),
    # Meaning
    Slip(
        "tests-exclude-each-other",
        "paths.yaml",
        'when: {run-low: {is: "yes"}, demounted: {is: "no"}, heavy-vehicle: holds}',
        'when: {run-low: {is: "yes"}, all: [{run-low: {is: "no"}}]}',
        "never-holds",
        "id: driven-soft-not-demounted",
    ),
    Slip(
        "comparison-swapped",
        "paths.yaml",
        "{tread-depth: {beyond: tread-floor-light}",
        "{tread-depth: {within: tread-floor-light}",
        "worse-looks-better",
        "tread-depth:",
        "questions.yaml",
    ),
    Slip(
        "size-comparison-swapped",
        "paths.yaml",
        "tire-group: {is: light}, widest-opening: {beyond: nail-hole-size-light}}\n            ending",
        "tire-group: {is: light}, widest-opening: {within: nail-hole-size-light}}\n            ending",
        "worse-looks-better",
        "injury-size:",
        "questions.yaml",
    ),
    Slip(
        "yes-and-no-swapped",
        "paths.yaml",
        'when: {sealant: {is: "yes"}}\n            ending',
        'when: {sealant: {is: "no"}}\n            ending',
        "worse-looks-better",
        "sealant:",
        "questions.yaml",
    ),
    Slip(
        "worse-side-swapped",
        "limits.yaml",
        "  value: 4/32 in\n  worse: below",
        "  value: 4/32 in\n  worse: above",
        "worse-looks-better",
        "tread-depth:",
        "questions.yaml",
    ),
    Slip(
        "cant-tell-counts-as-good",
        "paths.yaml",
        "        cant-tell: hold-sealant",
        '        cant-tell: {counts-as: "no"}',
        "doubt-looks-better",
        "sealant:",
        "questions.yaml",
    ),
    Slip(
        "doubt-made-mild",
        "paths.yaml",
        'when: {self-supporting: {is: "yes"}}\n            ending: refer-self-supporting\n',
        'when: {self-supporting: {is: "yes"}}\n            ending: scrap-damage\n            in-doubt: refer-scope\n',
        "unreached",
        "refer-self-supporting",
        "endings.yaml",
    ),
    Slip(
        "limit-only-beside",
        "paths.yaml",
        "{tread-depth: {beyond: tread-floor-light}, tire-group: {is: light}}",
        "{tire-group: {is: light}, any: "
        "[{tread-depth: {beyond: tread-floor-light}}, {tread-depth: {within: tread-floor-light}}]}",
        "limit-decides-nothing",
        "tread-floor-light:",
        "limits.yaml",
    ),
    Slip("method-without-ending", "methods.yaml", "  ending: repair-two-piece\n", "", "missing-key"),
    Slip(
        "ruling-for-cord-deleted",
        "paths.yaml",
        "when: {injury-depth: {is: reaches-cord}, tire-group: {is: light}}\n            ending: scrap-reaches-cord",
        "when: {injury-depth: {is: reaches-cord}, tire-group: {is: light}}\n            allows: repair",
        "unreached",
        "scrap-reaches-cord:",
        "endings.yaml",
    ),
    Slip(
        "limit-unused",
        "limits.yaml",
        "\ntread-steer:\n",
        "\ntread-spare:\n  says: s\n  value: 3/32 in\n  standing: from memory\n  source: memory\n"
        "  clause: none\ntread-steer:\n",
        "unused",
        "tread-spare:",
    ),
    Slip(
        "question-unused",
        "questions.yaml",
        "\nwheel-position:\n",
        "\nscent:\n  name: scent\n  asks: What scent?\n  kind: text\n  why: none\nwheel-position:\n",
        "unused",
        "scent:",
    ),
)

SLIPS = (*TYPED, *MEANT)

"""Slips of a maintainer's hand: one small patch of us-road each, the problem it must give, and text of the place."""

from __future__ import annotations

from typing import NamedTuple


class Slip(NamedTuple):
    """A patch of one file: `old` becomes `new` once.

    The problem `gives` stands at a line that holds `at`, in `file_at` where that is another file.
    """

    name: str
    file: str
    old: str
    new: str
    gives: str
    at: str = ""
    file_at: str = ""


TYPED = (
    # Typing: names, keys, words
    Slip(
        "ending-misspelt",
        "paths.yaml",
        "ending: scrap-reaches-cord",
        "ending: scrap-reaches-chord",
        "unknown-name",
        "scrap-reaches-chord",
    ),
    Slip(
        "limit-misspelt",
        "paths.yaml",
        "{beyond: run-low-share}",
        "{beyond: run-low-shear}",
        "unknown-name",
        "run-low-shear",
    ),
    Slip("question-misspelt", "paths.yaml", "ask: tread-depth", "ask: tread-depht", "unknown-name", "tread-depht"),
    Slip("subject-misspelt", "paths.yaml", "when: {sealant: {is:", "when: {sealent: {is:", "unknown-name", "sealent"),
    Slip("node-misspelt", "paths.yaml", "go: load-range", "go: load-rage", "unknown-name", "load-rage"),
    Slip(
        "choice-misspelt",
        "paths.yaml",
        "{injury-depth: {is: rubber-only}}",
        "{injury-depth: {is: rubber}}",
        "unknown-choice",
        "rubber",
    ),
    Slip(
        "finding-misspelt",
        "paths.yaml",
        "has-any: [broken-belt]",
        "has-any: [broken-belts]",
        "unknown-choice",
        "broken-belts",
    ),
    Slip(
        "test-misspelt",
        "paths.yaml",
        "{beyond: tread-floor-light}",
        "{beyound: tread-floor-light}",
        "unknown-test",
        "beyound",
    ),
    Slip("test-empty", "paths.yaml", "{beyond: tread-floor-light}", "{}", "empty-condition", "{}"),
    Slip(
        "key-misspelt",
        "paths.yaml",
        "        cant-tell: hold-demount",
        "        cant-tel: hold-demount",
        "unknown-key",
        "cant-tel",
    ),
    Slip("key-of-limit-misspelt", "limits.yaml", "at-limit: passes", "at-limits: passes", "unknown-key", "at-limits"),
    Slip(
        "key-of-question-misspelt",
        "questions.yaml",
        "  plausible: 0-200 psi",
        "  plausable: 0-200 psi",
        "unknown-key",
        "plausable",
    ),
    Slip(
        "source-misspelt",
        "limits.yaml",
        "source: puncture-chart-truck",
        "source: puncture-chart-trucks",
        "unknown-name",
        "puncture-chart-trucks",
    ),
    Slip("standing-misspelt", "limits.yaml", "standing: published", "standing: publishd", "unknown-word", "publishd"),
    Slip("verdict-misspelt", "endings.yaml", "verdict: scrap", "verdict: scrapp", "unknown-word", "scrapp"),
    Slip("verdict-unknown", "endings.yaml", "verdict: refer", "verdict: reject", "unknown-word", "reject"),
    Slip("kind-unknown", "questions.yaml", "kind: readings", "kind: reading", "unknown-word", "kind: reading"),
    Slip(
        "function-misspelt",
        "values.yaml",
        "function: pressure-share",
        "function: presure-share",
        "unknown-name",
        "presure-share",
    ),
    Slip("caution-misspelt", "paths.yaml", "tube-flap, tube-m", "tube-flaps, tube-m", "unknown-name", "tube-flaps"),
    Slip(
        "restriction-misspelt",
        "paths.yaml",
        "restriction: not-steer-axle",
        "restriction: no-steer-axle",
        "unknown-name",
        "no-steer-axle",
    ),
    Slip(
        "method-misspelt",
        "endings.yaml",
        "method: section-repair",
        "method: section-repairs",
        "unknown-name",
        "section-repairs",
    ),
    Slip("hazard-unknown", "cautions.yaml", "hazard: traffic", "hazard: trafic", "unknown-word", "trafic"),
    Slip(
        "wording-names-nothing",
        "paths.yaml",
        "of the pressure it should have",
        "of {set-presure}",
        "unknown-name",
        "set-presure",
    ),
    Slip("wording-of-ending", "endings.yaml", "{tread-floor}", "{tread-flor}", "unknown-name", "tread-flor"),
    Slip("capital-in-id", "limits.yaml", "tread-steer:\n", "Tread-steer:\n", "bad-id", "Tread-steer"),
    Slip(
        "when-in-doubt-misspelt",
        "about.yaml",
        "when-in-doubt: hold-measure-again",
        "when-in-doubt: hold-measure",
        "unknown-name",
        "hold-measure",
    ),
    # Units and figures
    Slip("wrong-unit", "limits.yaml", "value: 80 %", "value: 80 pct.", "bad-figure", "80 pct."),
    Slip("unit-left-out", "limits.yaml", "value: 10000 lb", "value: 10000", "bad-figure", "10000"),
    Slip(
        "unit-of-other-quantity",
        "limits.yaml",
        "value: 4/32 in",
        "value: 4 psi",
        "wrong-quantity",
        "tread-steer",
        "paths.yaml",
    ),
    Slip("units-mixed", "limits.yaml", "[3/8 in, 10 mm]", "[3/8 in, 10 psi]", "mixed-units", "10 psi"),
    Slip("two-metric-figures", "limits.yaml", "[3/8 in, 10 mm]", "[10 mm, 1 cm]", "same-unit-twice", "1 cm"),
    Slip("range-as-limit", "limits.yaml", "value: [3/8 in, 10 mm]", "value: 8-10 mm", "range-as-limit", "8-10 mm"),
    Slip(
        "figure-in-condition", "paths.yaml", "{beyond: run-low-share}", "{beyond: 80 %}", "figure-in-condition", "80 %"
    ),
    Slip(
        "figure-in-reason",
        "paths.yaml",
        "the vehicle is none of",
        "up to 10 mm the vehicle is none of",
        "figure-in-wording",
        "id: vehicle-not-covered",
    ),
    Slip(
        "figure-in-headline",
        "endings.yaml",
        "The cut is too deep",
        "The cut is over 3 mm, too deep",
        "figure-in-wording",
        "scrap-cut-depth",
    ),
    Slip(
        "limit-held-against-choice",
        "paths.yaml",
        "{sealant: {is:",
        "{sealant: {beyond: tread-floor}, tread-depth: {is:",
        "wrong-quantity",
        "tread-floor",
    ),
    Slip("plausible-not-read", "questions.yaml", "plausible: 50-700 mm", "plausible: fifty mm", "bad-figure", "fifty"),
    # Left out
    Slip("standing-left-out", "limits.yaml", "  standing: published\n", "", "missing-key", "says: widest nail-hole"),
    Slip("clause-left-out", "limits.yaml", "  clause: tread, largest injury\n", "", "missing-key"),
    Slip("at-limit-left-out", "limits.yaml", "  at-limit: passes\n", "", "missing-key"),
    Slip("cant-tell-left-out", "paths.yaml", "        cant-tell: hold-sealant\n", "", "missing-cant-tell"),
    Slip("otherwise-left-out", "paths.yaml", "          - go: load-range\n", "", "ways-on"),
    Slip(
        "reason-left-out",
        "paths.yaml",
        "            because: sealant hides injuries and keeps cement from holding\n",
        "",
        "missing-key",
    ),
    Slip("ending-left-out", "paths.yaml", "            ending: hold-sealant\n", "", "ruling-brings-nothing"),
    Slip(
        "headline-left-out",
        "endings.yaml",
        "  headline: It shows signs of having run flat. Do not inflate it.\n",
        "",
        "missing-key",
    ),
    Slip(
        "why-left-out",
        "questions.yaml",
        "  why: The rules differ by vehicle.",
        "  note: The rules differ by vehicle.",
        "missing-key",
    ),
    Slip("edition-left-out", "about.yaml", "edition: ", "# edition: ", "missing-key"),
    Slip("title-of-source-left-out", "sources.yaml", "  kind: law\n", "", "missing-key"),
    Slip("value-left-out", "limits.yaml", "  value: 80 %\n", "", "missing-key"),
)

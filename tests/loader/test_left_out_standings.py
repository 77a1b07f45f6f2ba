"""A standing and a clause that an entry leaves out are what its sources give; written ones stand over them."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from itertools import combinations_with_replacement
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.loader.paths import trees_folder
from tests.tools.samples import edited

#: The sources of the samples by id: their kind and how they were read.
READ = {
    "code": ("law", "first hand"),
    "county": ("state law", "second hand"),
    "guild": ("association", "first hand"),
    "norm": ("consensus standard", "second hand"),
    "army": ("military manual", "not seen"),
    "column": ("trade press", "second hand"),
    "reckoned": ("derived", "first hand"),
    "recalled": ("memory", "not seen"),
    "ours": ("house rule", "first hand"),
}
WITHOUT_CLAUSES = {"column", "reckoned", "recalled", "ours"}
GIVEN = {
    "code": "published",
    "county": "second-hand",
    "guild": "published",
    "norm": "second-hand",
    "army": "from memory",
    "column": "common practice",
    "reckoned": "derived",
    "recalled": "from memory",
    "ours": "invented for the demo",
    "code, norm": "second-hand",
    "norm, column": "common practice",
    "column, reckoned": "derived",
    "code, reckoned": "derived",
    "recalled, code": "from memory",
    "ours, recalled": "invented for the demo",
}
FILES = {"cautions.yaml": 1, "paths.yaml": 1, "methods.yaml": 2}


def sources(names: Iterable[str]) -> str:
    entry = "  {}: {{title: T, publisher: p, edition: e, kind: {}, read: {}}}\n"
    return "sources.yaml:\n" + "".join(entry.format(name, *READ[name]) for name in names)


def rests(ruling: str = "washed/rulings/not-washed", **keys: str) -> str:
    """A caution, a ruling, a method and a step of the samples that rest on just that, and the sources named."""
    said = {key: keys.get(key, '"~"') for key in ("standing", "source", "clause")}

    def at(place: str) -> str:
        return "".join(f"  {place}/{key}: {text}\n" for key, text in said.items())

    named = [name for name in READ if name in re.findall(r"\w+", said["source"])]
    return (
        (sources(named) if named else "")
        + f"cautions.yaml:\n{at('cage')}"
        + f"paths.yaml:\n{at(f'nodes/{ruling}')}"
        + f"methods.yaml:\n{at('plug')}{at('plug/steps/buff')}"
    )


def said_of(folder: Path, capsys: pytest.CaptureFixture[str]) -> list[tuple[str, int, str, str]]:
    """What `advisor check` finds: file, line, id, what was found."""
    capsys.readouterr()
    main(["check", str(folder)])
    lines = re.findall(r"^[\w-]+/([\w-]+\.yaml):(\d+):\d+: (\S+): (.*)", capsys.readouterr().err, re.M)
    return [(file, int(line), problem, found) for file, line, problem, found in lines]


def same(one: Path, two: Path, capsys: pytest.CaptureFixture[str]) -> bool:
    capsys.readouterr()
    return main(["compare", str(one), str(two)]) == 0 and "the same content" in capsys.readouterr().out


@pytest.mark.parametrize("names", GIVEN)
def test_a_standing_left_out_is_what_the_weakest_source_gives(
    names: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written = edited(rests(standing=GIVEN[names], source=f"[{names}]", clause="none"), tmp_path / "written")
    left_out = edited(rests(source=f"[{names}]", clause="none"), tmp_path / "left-out")
    assert same(written, left_out, capsys)
    assert said_of(written, capsys) == said_of(left_out, capsys) == []


@pytest.mark.parametrize("names", GIVEN)
def test_a_clause_left_out_is_none_where_the_sources_have_none_and_told_elsewhere(
    names: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    left_out = edited(rests(source=f"[{names}]"), tmp_path / "left-out")
    if set(names.split(", ")) <= WITHOUT_CLAUSES:
        written = edited(rests(standing=GIVEN[names], source=f"[{names}]", clause="none"), tmp_path / "written")
        assert same(written, left_out, capsys)
    else:
        said = said_of(left_out, capsys)
        assert sorted(file for file, *_ in said) == sorted(file for file, count in FILES.items() for _ in range(count))
        assert all(problem == "missing-key" and 'without "clause"' in found for _, _, problem, found in said)


def test_a_written_standing_stands_over_what_the_source_gives(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    weaker = edited(rests(standing="derived", source="code", clause="none"), tmp_path / "weaker")
    assert said_of(weaker, capsys) == []
    left_out = edited(rests(source="code", clause="none"), tmp_path / "left-out")
    main(["compare", str(left_out), str(weaker)])
    assert capsys.readouterr().out.count("standing: published -> derived") == sum(FILES.values())
    above = edited(rests(standing="published", source="norm", clause="none"), tmp_path / "above")
    assert [problem for _, _, problem, _ in said_of(above, capsys)] == ["standing-above-source"] * sum(FILES.values())


def test_what_sources_give_is_never_above_what_they_bear(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    entry = "  {0}-{1}: {{hazard: dust, says: s, source: {2}, clause: none}}\n"
    pairs = combinations_with_replacement(READ, 2)
    cautions = "".join(entry.format(a, b, a if a == b else f"[{a}, {b}]") for a, b in pairs)
    rules = edited(f"{sources(READ)}cautions.yaml:\n{cautions}", tmp_path / "rules")
    assert [problem for _, _, problem, _ in said_of(rules, capsys)] == ["unused"] * 45


def test_what_is_thrown_away_by_a_standing_left_out_is_held_to_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for source, told in (("reckoned", []), ("recalled", ["scraps-on-practice"]), ("column", ["scraps-on-practice"])):
        rules = edited(rests("findings/rulings/bulge", source=source), tmp_path / source)
        assert [problem for _, _, problem, _ in said_of(rules, capsys)] == told


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ({}, 'without "source"'),
        ({"standing": "derived"}, 'without "source"'),
        ({"clause": "none"}, 'without "source"'),
        ({"source": "no-such-text"}, '"no-such-text" in "source"'),
    ],
)
def test_without_a_source_one_thing_is_told_at_each_entry(
    keys: dict[str, str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = edited(rests(**keys), tmp_path / "rules")
    said = said_of(rules, capsys)
    assert sorted(file for file, *_ in said) == sorted(file for file, count in FILES.items() for _ in range(count))
    assert all(told in found for *_, found in said)
    text = (rules / "cautions.yaml").read_text(encoding="utf-8").splitlines()
    (line,) = (line for file, line, *_ in said if file == "cautions.yaml")
    assert "no-such-text" in text[line - 1] if "source" in keys else "cage" in text[line - 2]


def test_an_empty_list_of_sources_gives_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = said_of(edited(rests(source="[]"), tmp_path / "rules"), capsys)
    wanted = [found.rpartition(" without ")[2] for *_, found in said]
    assert sorted(wanted) == ['"clause"'] * sum(FILES.values()) + ['"standing"'] * sum(FILES.values())


@pytest.mark.parametrize("key", ["standing", "source", "clause"])
def test_a_limit_says_all_three(key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = edited(f'limits.yaml: {{largest-hole/{key}: "~"}}', tmp_path / "rules")
    assert [(problem, found) for *_, problem, found in said_of(rules, capsys)] == [
        ("missing-key", f'limit largest-hole without "{key}"')
    ]


def test_a_text_read_otherwise_lets_fall_whatever_rests_on_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = edited(rests(source="code", clause="none"), tmp_path / "before")
    after = Path(shutil.copytree(before, tmp_path / "after"))
    sources_file = after / "sources.yaml"
    for old, new, standing in (
        ("read: first hand", "read: second hand", "second-hand"),
        ("kind: law", "kind: memory", "from memory"),
    ):
        head, code = sources_file.read_text(encoding="utf-8").split("code:")
        sources_file.write_text(f"{head}code:{code.replace(old, new)}", encoding="utf-8")
        main(["compare", str(before), str(after)])
        fell = re.findall(rf"^  (.*): standing: published -> {standing}$", capsys.readouterr().out, re.M)
        assert {each.rpartition(" ")[2] for each in fell} == {"cage", "not-washed", "plug", "buff"}


def test_a_source_of_its_own_gives_a_standing_of_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An overlay's wording of a base's caution, and a set's over a shared one, never keep the other source's."""
    shop = tmp_path / "shop"
    assert main(["new", str(shop), "--builds-on", "us-road"]) == 0
    with (shop / "cautions.yaml").open("a", encoding="utf-8") as file:
        file.write("lifting: {hazard: lifting, says: Chock the wheels., source: house-rules}\n")
    main(["compare", "us-road", str(shop)])
    assert "lifting: standing: common practice -> invented for the demo" in capsys.readouterr().out

    shutil.copytree(trees_folder() / "common", tmp_path / "common")
    home = Path(shutil.copytree(trees_folder() / "uk-road", tmp_path / "uk-road"))
    shared = (tmp_path / "common" / "cautions.yaml").read_text(encoding="utf-8")
    entry = re.search(r"^run-low-inspected:\n(?:  .*\n)+", shared, re.M)
    assert entry and "  source: shop-practice\n" in entry[0]
    plain = re.sub(r"  (?:standing|clause): .*\n", "", entry[0])
    told = f"{plain}  standing: second-hand\n  clause: page 1\n"
    (tmp_path / "common" / "cautions.yaml").write_text(shared.replace(entry[0], told), encoding="utf-8")
    with (home / "cautions.yaml").open("a", encoding="utf-8") as file:
        file.write("run-low-inspected: {source: memory}\n")
    main(["compare", "uk-road", str(home)])
    said = capsys.readouterr().out
    assert "run-low-inspected: standing: common practice -> from memory" in said and "page 1" not in said

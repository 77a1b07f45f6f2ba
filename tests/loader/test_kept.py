"""A rule set kept ready is the rule set; it never outlives a change, and nothing that befalls it is seen outside."""

from __future__ import annotations

import os
import random
import shutil
from pathlib import Path

import pytest

from advisor.loader import cache
from advisor.loader.cache import ready_rule_set
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_codec import rule_set_from_json, rule_set_to_json
from advisor.loader.ruleset_loader import load_rule_set, shipped, trees_folder
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet
from tests.whole_rules import whole_copy


def fields_of(rules: RuleSet) -> dict[str, object]:
    """All that a rule set holds, with the order of what is listed by name."""
    names = [name for name in type(rules).__match_args__ if name not in ("normalised", "language", "known_digest")]
    found = {name: getattr(rules, name) for name in names}
    orders = {f"order of {name}": list(value) for name, value in found.items() if isinstance(value, dict)}
    orders |= {f"order of phrases {how}": list(said) for how, said in rules.phrases.says.items()}
    return {**found, **orders, "language": rules.language(), "digest": rules.digest, "content": rules.content}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the default rule set, to be edited."""
    return whole_copy(tmp_path / "rules")


@pytest.fixture
def copies(tmp_path: Path) -> Path:
    """A folder for copies, which is not there yet."""
    return tmp_path / "cache" / "copies"


@pytest.fixture
def no_yaml(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on the YAML can't be read."""

    def refused(folder: Path) -> RuleSet:
        raise AssertionError(f"the YAML of {folder} was read")

    monkeypatch.setattr(cache, "_read_anew", refused)


@pytest.mark.parametrize("name", shipped())
def test_a_rule_set_comes_back_from_its_text_as_it_was(name: str) -> None:
    rules = load_rule_set(find_rule_set(name))
    again = rule_set_from_json(rule_set_to_json(rules), lambda: rules.content)
    assert fields_of(again) == fields_of(rules)


def test_the_second_start_reads_no_yaml_and_gets_the_same(
    folder: Path, copies: Path, request: pytest.FixtureRequest
) -> None:
    first = ready_rule_set(folder, copies)
    assert fields_of(ready_rule_set(folder, copies)) == fields_of(first) == fields_of(load_rule_set(folder))
    request.getfixturevalue("no_yaml")
    assert ready_rule_set(folder, copies).digest == first.digest
    assert [path.stat().st_mode & 0o077 for path in (copies, *copies.iterdir())] == [0, 0]


def edit(folder: Path, copies: Path) -> None:
    """Changes one figure, the file's size and time as before."""
    limits = folder / "limits.yaml"
    times = limits.stat()
    limits.write_text(limits.read_text().replace("25 deg", "24 deg", 1))
    os.utime(limits, ns=(times.st_atime_ns, times.st_mtime_ns))


def add_phrases(folder: Path, copies: Path) -> None:
    """Brings a file that may be left out."""
    (folder / "units.yaml").write_text("")


def cut_short(folder: Path, copies: Path) -> None:
    """Loses the copy's end."""
    (copy,) = copies.iterdir()
    copy.write_bytes(copy.read_bytes()[:-9])


def other_kind(folder: Path, copies: Path) -> None:
    """Puts something into the copy that is no part of a rule set."""
    (copy,) = copies.iterdir()
    copy.write_bytes(copy.read_bytes().replace(b'"": "Leaf"', b'"": "Path"'))


def open_to_others(folder: Path, copies: Path) -> None:
    """Lets others write to the copy."""
    (copy,) = copies.iterdir()
    copy.chmod(0o666)


def open_folder(folder: Path, copies: Path) -> None:
    """Lets others write to the folder of copies."""
    copies.chmod(0o777)


def gone(folder: Path, copies: Path) -> None:
    """Takes the copies away."""
    shutil.rmtree(copies)


def a_folder_instead(folder: Path, copies: Path) -> None:
    """Puts a folder where the copy was."""
    (copy,) = copies.iterdir()
    copy.unlink()
    copy.mkdir()


@pytest.mark.parametrize(
    "befalls", [edit, add_phrases, cut_short, other_kind, open_to_others, open_folder, gone, a_folder_instead]
)
def test_whatever_befalls_a_copy_or_its_files_the_yaml_counts(
    folder: Path, copies: Path, befalls: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert callable(befalls)
    ready_rule_set(folder, copies)
    befalls(folder, copies)
    read = []
    anew = cache._read_anew
    monkeypatch.setattr(cache, "_read_anew", lambda folder: read.append(folder) or anew(folder))
    try:
        found = fields_of(ready_rule_set(folder, copies))
    except Problems as error:
        with pytest.raises(Problems) as straight:
            load_rule_set(folder)
        assert error.problems == straight.value.problems
    else:
        assert found == fields_of(load_rule_set(folder))
    assert read


DAMAGED_COPIES = 100


def test_no_copy_with_a_damaged_byte_judges(folder: Path, copies: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of them is thrown away without a word; the YAML is read in its place."""
    rules = ready_rule_set(folder, copies)
    (copy,) = copies.iterdir()
    whole, chance = copy.read_bytes(), random.Random(18)
    read, own = [], cache._read_anew
    monkeypatch.setattr(cache, "_read_anew", lambda folder: read.append(folder) or rules)
    monkeypatch.setattr(cache, "write_copy", lambda *words: None)
    for count in range(1, DAMAGED_COPIES + 1):
        at = chance.randrange(len(whole))
        copy.write_bytes(whole[:at] + bytes([whole[at] ^ (1 << chance.randrange(8))]) + whole[at + 1 :])
        assert ready_rule_set(folder, copies) is rules
        assert len(read) == count, f"byte {at}, {whole[at : at + 1]!r}"
    monkeypatch.setattr(cache, "_read_anew", own)


def planted(copies: Path) -> Path:
    """Another copy that is whole in itself, hash and all: as anyone who may write there could make it."""
    (copy,) = copies.iterdir()
    data = copy.read_bytes()
    copy.write_bytes(cache.sealed(data[cache.SEAL_BYTES :] + b" "))
    return copy


def by_another(copies: Path) -> None:
    """The copy is somebody else's."""
    os.chown(planted(copies), 12345, 12345)


def in_the_folder_of_another(copies: Path) -> None:
    """The whole folder is somebody else's."""
    planted(copies)
    os.chown(copies, 12345, 12345)


def in_an_open_folder(copies: Path) -> None:
    """The group may write in the folder."""
    planted(copies)
    copies.chmod(0o770)


def through_a_link(copies: Path) -> None:
    """The copy is a link to a place where others may write."""
    copy = planted(copies)
    elsewhere = copies.parent / "elsewhere"
    elsewhere.mkdir(mode=0o777)
    copy.symlink_to(shutil.move(copy, elsewhere / copy.name))


def a_pipe(copies: Path) -> None:
    """Something that would be waited for for ever."""
    (copy,) = copies.iterdir()
    copy.unlink()
    os.mkfifo(copy)


@pytest.mark.skipif(os.name != "posix" or os.getuid() != 0, reason="rights of files; only root can give one away")
@pytest.mark.parametrize(
    "plant",
    [by_another, in_the_folder_of_another, in_an_open_folder, through_a_link, a_pipe],
)
def test_a_planted_copy_never_judges(
    folder: Path, copies: Path, plant: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert callable(plant)
    rules = ready_rule_set(folder, copies)
    plant(copies)
    read = []
    monkeypatch.setattr(cache, "_read_anew", lambda folder: read.append(folder) or rules)
    assert ready_rule_set(folder, copies) is rules
    assert read
    assert capsys.readouterr() == ("", "")


def test_a_change_of_the_program_makes_copies_void(
    folder: Path, copies: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    ready_rule_set(folder, copies)
    request.getfixturevalue("no_yaml")
    ready_rule_set(folder, copies)
    monkeypatch.setattr(cache, "_mark_of_program", lambda: b"another one")
    with pytest.raises(AssertionError, match="was read"):
        ready_rule_set(folder, copies)


def test_nothing_is_kept_of_a_rule_set_with_problems_or_of_an_overlay(folder: Path, copies: Path) -> None:
    ready_rule_set(trees_folder() / "demo-shop", copies)
    (folder / "paths.yaml").write_text(
        (folder / "paths.yaml").read_text().replace("next: inside-signs", "next: nowhere")
    )
    with pytest.raises(Problems):
        ready_rule_set(folder, copies)
    assert not copies.exists()


@pytest.mark.skipif(os.name != "posix", reason="rights of files")
def test_a_folder_that_takes_no_copies_changes_nothing(folder: Path, tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    for copies in (in_the_way, in_the_way / "below", Path("/proc/none"), None):
        assert ready_rule_set(folder, copies).about.id == "us-road"

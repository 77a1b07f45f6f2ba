"""What --verify finds, seals and signatures included, and what each of them can and can't show."""

from __future__ import annotations

import base64
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import NOTHING_BEFORE, chain_of, link_of
from advisor.journal.integrity import BESIDE, seals_in
from advisor.journal.signing import checker, make_key, signer
from tests.journal.record_support import TALK, checked, journal_in, talk

Change = Callable[[sqlite3.Connection], object]


def _filled(folder: Path, count: int = 3) -> sqlite3.Connection:
    journal = journal_in(folder)
    for number in range(count):
        talk(journal, [f"casing T{number}", "technician Two", *TALK])
    journal.close()
    return sqlite3.connect(folder / FILE_NAME, isolation_level=None)


def _verify(folder: Path, *words: str) -> int:
    return main(["casings", "--verify", "--data", str(folder), *words])


CHANGES: dict[str, tuple[Change, str]] = {
    "a body": (lambda db: db.execute("UPDATE entry SET body = replace(body, '4', '5') WHERE seq = 30"), "entry 30"),
    "a time": (lambda db: db.execute("UPDATE entry SET at = '2026-03-15' || substr(at, 11) WHERE seq = 9"), "entry 9"),
    "the rules": (lambda db: db.execute("UPDATE entry SET rules = 'x' WHERE seq = 12"), "entry 12"),
    "a kind": (lambda db: db.execute("UPDATE entry SET kind = 'note' WHERE seq = 7"), "entry 7"),
    "whose": (lambda db: db.execute("UPDATE entry SET consultation = 'other' WHERE seq = 40"), "entry 40"),
    "a gap": (lambda db: db.execute("DELETE FROM entry WHERE seq = 20"), "what lay between is gone"),
    "the end": (lambda db: db.execute("DELETE FROM entry WHERE seq > 60"), "entries at the end are gone"),
    "the beginning": (lambda db: db.execute("DELETE FROM entry WHERE seq < 5"), "what lay between is gone"),
    "a name": (lambda db: db.execute("UPDATE private SET words = 'Three'"), "personal words"),
    "the list": (lambda db: db.execute("UPDATE consultation SET verdict = 'scrap' WHERE number = 2"), "the list of"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_found_and_placed(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    change, says = CHANGES[name]
    db = _filled(tmp_path)
    assert _verify(tmp_path) == 0
    change(db)
    db.close()
    capsys.readouterr()
    assert _verify(tmp_path) == 1
    assert says in capsys.readouterr().out


def test_two_entries_in_each_others_place_are_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    db = _filled(tmp_path)
    for one, other in ((10, 1000), (11, 10), (1000, 11)):
        db.execute("UPDATE entry SET seq = ? WHERE seq = ?", (other, one))
    db.close()
    assert _verify(tmp_path) == 1
    assert "entry 10" in capsys.readouterr().out


def _cut_off(db: sqlite3.Connection, after: int) -> None:
    """Cuts entries off at the end, covering the traces in the file as someone would who knows it."""
    names = [row[0] for row in db.execute("SELECT DISTINCT consultation FROM entry WHERE seq > ?", (after,))]
    db.execute("DELETE FROM entry WHERE seq > ?", (after,))
    db.execute("UPDATE sqlite_sequence SET seq = ? WHERE name = 'entry'", (after,))
    for name in names:
        db.execute("DELETE FROM finder WHERE id = ?", (name,))
        db.execute("DELETE FROM consultation WHERE id = ?", (name,))
    bodies = "".join(row[0] for row in db.execute("SELECT body FROM entry"))
    gone = [row for row in db.execute("SELECT commitment FROM private").fetchall() if row[0] not in bodies]
    db.executemany("DELETE FROM private WHERE commitment = ?", gone)


def _third_begins(db: sqlite3.Connection) -> int:
    return int(db.execute("SELECT max(seq) FROM entry WHERE kind = 'begin'").fetchone()[0])


def test_a_cut_at_the_end_that_covers_its_traces_is_found_by_a_seal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "data"
    db = _filled(folder)
    assert main(["casings", "--seal", str(tmp_path / "kept"), "--data", str(folder)]) == 0
    _cut_off(db, _third_begins(db) - 1)
    db.close()
    (folder / BESIDE).unlink()
    assert _verify(folder) == 0, "the file alone can't show it, and --verify says so"
    assert "could write all of it anew" in capsys.readouterr().out
    assert _verify(folder, "--against", str(tmp_path / "kept")) == 1
    assert "entries at the end are gone; they were sealed on" in capsys.readouterr().out


def test_the_seal_beside_the_journal_finds_the_same_when_only_the_journal_was_touched(tmp_path: Path) -> None:
    db = _filled(tmp_path)
    assert [seal.entries for seal in seals_in(tmp_path / BESIDE)] == [
        db.execute("SELECT max(seq) FROM entry").fetchone()[0]
    ]
    _cut_off(db, _third_begins(db) - 1)
    db.close()
    assert _verify(tmp_path) == 1


def _written_anew(db: sqlite3.Connection) -> None:
    """Changes an entry and works every hash after it out anew."""
    db.execute("UPDATE entry SET body = replace(body, 'drive', 'steer') WHERE kind = 'answer'")
    links: dict[str, bytes] = {}
    chain = NOTHING_BEFORE
    for seq, name, step, at, kind, rules, body in db.execute(
        "SELECT seq, consultation, step, at, kind, rules, body FROM entry ORDER BY seq"
    ).fetchall():
        links[name] = link_of(links.get(name, NOTHING_BEFORE), name, step, at, kind, rules, body)
        chain = chain_of(chain, seq, links[name])
        db.execute("UPDATE entry SET link = ?, chain = ? WHERE seq = ?", (links[name], chain, seq))


def test_a_journal_written_anew_is_found_by_a_seal_and_by_signatures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, key, public = tmp_path / "data", str(tmp_path / "key"), str(tmp_path / "key.pub")
    assert main(["casings", "--make-key", key]) == 0
    journal = journal_in(folder)
    journal.signer = signer(Path(key))
    talk(journal, TALK)
    journal.close()
    assert checked(folder).problems == []
    assert main(["casings", "--seal", str(tmp_path / "kept"), "--key", key, "--data", str(folder)]) == 0
    assert _verify(folder, "--public", public, "--against", str(tmp_path / "kept")) == 0
    said = capsys.readouterr().out
    assert "Signed consultations: 1 (each signature holds)" in said and "hold: nothing up to entry" in said
    with sqlite3.connect(folder / FILE_NAME) as db:
        _written_anew(db)
    (folder / BESIDE).unlink()
    assert _verify(folder) == 0
    assert _verify(folder, "--public", public) == 1
    assert "the signature does not hold" in capsys.readouterr().out
    assert _verify(folder, "--against", str(tmp_path / "kept")) == 1
    assert "was replaced" in capsys.readouterr().out


def test_a_journal_that_is_gone_is_no_sound_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "data"
    _filled(folder, 1).close()
    assert main(["casings", "--seal", str(tmp_path / "kept"), "--data", str(folder)]) == 0
    (folder / FILE_NAME).unlink()
    for words in (["--verify"], ["--verify", "--against", str(tmp_path / "kept")], ["--seal", str(tmp_path / "s")],
                  ["--backup", str(tmp_path / "b")], ["--export", str(tmp_path / "x.csv")]):  # fmt: skip
        assert main(["casings", *words, "--data", str(folder)]) == 2
        assert f"no journal in {folder}, and so nothing for {words[0]}" in capsys.readouterr().err
    assert main(["casings", "--data", str(folder)]) == 0, "a list of none is no fault"


def test_a_copy_named_as_the_folder_is_told_how_to_use_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _filled(tmp_path / "data", 1).close()
    assert main(["casings", "--backup", str(tmp_path / "copy"), "--data", str(tmp_path / "data")]) == 0
    assert _verify(tmp_path / "copy") == 2
    assert "--merge FILE" in capsys.readouterr().err


def test_a_signature_goes_with_its_record(tmp_path: Path) -> None:
    key, public = str(tmp_path / "key"), str(tmp_path / "key.pub")
    main(["casings", "--make-key", key])
    journal = journal_in(tmp_path / "a")
    journal.signer = signer(Path(key))
    talk(journal, TALK)
    journal.close()
    assert main(["casings", "--export", str(tmp_path / "a.jsonl"), "--data", str(tmp_path / "a")]) == 0
    assert main(["casings", "--import", str(tmp_path / "a.jsonl"), "--data", str(tmp_path / "b")]) == 0
    assert main(["casings", "--merge", str(tmp_path / "a"), "--data", str(tmp_path / "c")]) == 0
    for folder in (tmp_path / "b", tmp_path / "c"):
        assert _verify(folder, "--public", public) == 0
    make_key(tmp_path / "other")
    assert _verify(tmp_path / "b", "--public", str(tmp_path / "other.pub")) == 1


def test_a_seal_that_was_changed_or_is_not_signed_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, key, public, kept = tmp_path / "data", tmp_path / "key", tmp_path / "key.pub", tmp_path / "kept"
    _filled(folder, 1).close()
    make_key(key)
    main(["casings", "--seal", str(kept), "--key", str(key), "--data", str(folder)])
    whole = kept.read_text()
    for changed, says in (
        (whole.replace('"at":"2', '"at":"3'), "signature does not hold"),
        (whole.partition(',"key"')[0] + "}\n", "not signed"),
        ("nonsense\n", "no seal"),
        ("[" * 1000 + "\n", "no seal"),
    ):
        kept.write_text(changed)
        capsys.readouterr()
        assert _verify(folder, "--public", str(public), "--against", str(kept)) in (1, 2)
        said = capsys.readouterr()
        assert says in said.out + said.err


def test_ed25519_as_published() -> None:
    """RFC 8032, 7.1, test 1 and test 2: the library gives the signatures that the standard prints."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    for secret, message, signature in (
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60", "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb", "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
        ),
    ):  # fmt: skip
        key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
        assert key.sign(bytes.fromhex(message)).hex() == signature


@pytest.mark.parametrize("way", ["none", "empty", "text", "rsa", "locked"])
def test_a_key_that_is_none_is_told(tmp_path: Path, way: str, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "key"
    if way in ("rsa", "locked"):
        from cryptography.hazmat.primitives import serialization as form
        from cryptography.hazmat.primitives.asymmetric import ed25519, rsa

        made = rsa.generate_private_key(65537, 2048) if way == "rsa" else ed25519.Ed25519PrivateKey.generate()
        locked = form.BestAvailableEncryption(b"x") if way == "locked" else form.NoEncryption()
        file.write_bytes(made.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, locked))
    elif way != "none":
        file.write_bytes(b"" if way == "empty" else base64.b64encode(b"no key at all"))
    assert main(["--plain", "--key", str(file), "--data", str(tmp_path / "data")]) == 2
    assert "key" in capsys.readouterr().err
    assert not (tmp_path / "data").exists()


def test_without_the_package_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("advisor.journal.signing.find_spec", lambda name: None)
    for words in (["casings", "--make-key", str(tmp_path / "k")], ["--plain", "--key", "k"]):
        assert main(words) == 2
        assert "pip install 'tire-repair-advisor[sign]'" in capsys.readouterr().err


def test_the_package_is_loaded_only_to_sign(tmp_path: Path) -> None:
    import subprocess

    _filled(tmp_path, 1).close()
    code = f"""
import sys
from advisor.cli import main
main(["casings", "--verify", "--data", {str(tmp_path)!r}])
sys.exit("cryptography" in sys.modules)
"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True).returncode == 0


def test_the_private_key_is_the_owners(tmp_path: Path) -> None:
    make_key(tmp_path / "key")
    assert (tmp_path / "key").stat().st_mode & 0o077 == 0
    assert checker(tmp_path / "key.pub").mark == signer(tmp_path / "key").mark


@pytest.mark.parametrize("torn", ['{"at":"2026-03-14T09:00', "\x00" * 40, '{"at": 1}'])
def test_a_torn_line_among_the_seals_is_told_and_the_check_goes_on(
    tmp_path: Path, torn: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A loss of power cut the line off; the journal is still looked at whole, and the next seal begins a line."""
    for _ in range(2):
        journal = journal_in(tmp_path)
        talk(journal)
        journal.close()
        seals = tmp_path / "seals.jsonl"
        seals.write_text(seals.read_text().rstrip("\n") + "\n" + torn)
    journal = journal_in(tmp_path)
    talk(journal)
    journal.close()
    assert main(["casings", "--verify", "--data", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert out.count("a line that is no seal") == 2 and "Looked at" in out
    assert len([*seals_in(tmp_path / "seals.jsonl", [])]) == 3

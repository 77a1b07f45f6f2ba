"""What each entry of the words earns: `python tests/bench/ablation.py [--list] [--outside FILE] [--only SECTION]`.

Switches every entry of trees/common/phrases.yaml off, one after another, and hears the sentences again in which it
stands: those of tests/tables, and of FILE. What no sentence has stands for itself: its own words are heard with and
without it. An entry that changes nothing is not needed; it stays off for those after it, so that of two that say the
same one is left. --list prints what is not needed, one a line.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml
from msgspec import Struct
from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from advisor.loader.phrase_file import WAYS, spelled_out
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.lexicon_entries import Phrases, folded
from advisor.model.ruleset import RuleSet
from advisor.nlu.case_of import as_json
from advisor.nlu.pipeline import Listener
from advisor.nlu.tagger import marked

ROOT = Path(__file__).resolve().parents[2]
FILE = ROOT / "trees" / "common" / "phrases.yaml"
OF_FRAMES = ("frames", "signs", "hints")
#: Round a cue that no sentence has.
AROUND = (
    "the tire, {}",
    "no bulge, {}",
    "{} no bulge",
    "{} nail in the crown 5 mm",
    "nail in the crown 5 mm {}",
    "it {} a bulge",
)
#: So many of an unused entry's own phrases are heard.
MOST_OWN = 6


class Entry(Struct, frozen=True):
    """One entry of the file: where it stands, its text, and the phrases that it stands for."""

    way: tuple[str, ...]
    text: str
    phrases: tuple[str, ...]


def entries() -> Iterator[Entry]:
    """The entries of the file, in order."""
    read = yaml.safe_load(FILE.read_text(encoding="utf-8"))
    for section in (*WAYS, *OF_FRAMES, "asks", "labels", "cues"):
        for name, below in read.get(section, {}).items():
            lists = below.items() if isinstance(below, dict) else [("", below)]
            for choice, texts in lists:
                for text in map(str, texts):
                    yield Entry(
                        (section, str(name), str(choice)), text, () if section in OF_FRAMES else spelled_out(text)
                    )


def without(phrases: Phrases, entry: Entry) -> Phrases:
    """The words without one entry."""
    section, name, choice = entry.way
    if section in OF_FRAMES:
        parts = tuple(folded(part).replace(" ", "_") for part in entry.text.split("&"))
        kept = tuple(frame for frame in phrases.frames if (frame.gives[0], frame.parts) != (name, parts))
        return replace(phrases, frames=kept)
    gone = set(entry.phrases)
    if section in ("labels", "cues"):
        known = getattr(phrases, section)
        left = {word: tuple(each for each in of if not (word in gone and each == name)) for word, of in known.items()}
        return replace(phrases, **{section: {word: of for word, of in left.items() if of}})
    how = WAYS.get(section, "asks")
    given = (name, choice if section in WAYS else "")
    left = {word: gives for word, gives in phrases.says.get(how, {}).items() if not (word in gone and given in gives)}
    return replace(phrases, says={**phrases.says, how: left})


def heard(ear: Listener, rules: RuleSet, text: str) -> str:
    """All that comes of a sentence, but for the wording of why it is asked back."""
    found = as_json(ear.hear(text), rules)
    found["asks_back"] = sorted({ask["id"] for ask in found["asks_back"]})
    del found["not_understood"]
    return json.dumps(found, sort_keys=True)


def sentences(outside: str | None) -> list[str]:
    """The sentences of the tables, and of a file from outside."""
    texts = []
    for name in ("sentences.csv", "said_and_not_said.csv"):
        with (ROOT / "tests" / "tables" / name).open(encoding="utf-8", newline="") as file:
            texts += [row["sentence"] for row in csv.DictReader(file)]
    if outside:
        texts += [json.loads(line)["text"] for line in Path(outside).read_text(encoding="utf-8").splitlines() if line]
    return texts


def needed(
    entry: Entry, ears: tuple[Listener, Listener], rules: RuleSet, texts: list[str], was: dict[str, str]
) -> bool:
    """Whether an entry changes a sentence; of one that no sentence has, whether its own phrases hear otherwise."""
    off, on = ears
    if any(heard(off, rules, text) != was[text] for text in texts):
        return True
    if texts:
        return False
    own = [phrase.replace("...", "it") for phrase in entry.phrases[:MOST_OWN]] or [own_words(entry.text)]
    round_it = AROUND if entry.way[0] == "cues" else AROUND[:1]
    every = [around.format(text) for text in own for around in round_it]
    return any(heard(off, rules, text) != heard(on, rules, text) for text in every)


def lacking(rules: RuleSet, entry: Entry) -> RuleSet:
    """The rules without one entry."""
    language = replace(rules.language(), phrases=without(rules.phrases, entry))
    return replace(rules, language=lambda: language)


def own_words(frame: str) -> str:
    """Words of a frame by themselves."""
    return " ".join(part.split("|")[0].strip().lstrip("@").replace("_", " ") for part in frame.split("&"))


def main() -> int:
    """Prints by section: entries, those that a sentence has, those needed; with --list those that are not."""
    asks = argparse.ArgumentParser()
    asks.add_argument("--list", action="store_true")
    asks.add_argument("--outside")
    asks.add_argument("--only", action="append", help="a section of the file; may be given several times")
    options = asks.parse_args()
    rules: Any = load_rule_set(find_rule_set("us-road"))
    ear = Listener(rules)
    texts = sentences(options.outside)
    was = {text: heard(ear, rules, text) for text in texts}
    spoken = {text: {mark.text for clause in marked(text, ear.lexicon)[1] for mark in clause.marks} for text in texts}
    words = {text: set(text.casefold().replace("-", " ").split()) for text in texts}
    counts: dict[str, Counter[str]] = {}
    for entry in entries():
        if options.only and entry.way[0] not in options.only:
            continue
        heads = {phrase.split()[0] for phrase in entry.phrases if phrase}
        if entry.phrases:
            own = set(entry.phrases)
            having = [text for text in texts if own & spoken[text] or ("..." in entry.text and heads & words[text])]
        else:
            frame = set(entry.text.replace("&", " ").replace("|", " ").replace("_", " ").split())
            having = [text for text in texts if frame & words[text] or "@" in entry.text]
        off = Listener(lacking(rules, entry))
        earns = needed(entry, (off, ear), rules, having, was)
        count = counts.setdefault(entry.way[0], Counter())
        count.update(entries=1, heard=bool(having), needed=bool(earns))
        if not earns:
            rules = lacking(rules, entry)
            ear = off
            if options.list:
                print(json.dumps([*entry.way, entry.text]), flush=True)
    print(f"{'section':20} entries  in a sentence  needed", file=sys.stderr)
    for section, count in counts.items():
        print(f"{section:20} {count['entries']:7} {count['heard']:14} {count['needed']:7}", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())

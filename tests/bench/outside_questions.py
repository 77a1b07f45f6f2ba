"""Questions from outside: for each the intent chosen and the first lines, and the share that is not answered.

`python -m tests.bench.outside_questions FILE --cases FOLDER`; FILE has a JSON object a line: case, rules, text, after.
Whether an answer is good is for a reader to say; this shows what was said.
"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections import Counter
from datetime import date
from pathlib import Path

from advisor.console.session_lines import message_lines
from advisor.dialogue.intents import told
from advisor.engine.evaluator import Judge
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.paths import find_rule_set
from advisor.loader.ruleset_loader import load_rule_set


def main() -> None:
    """Reads the questions, prints what answers each, and counts."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--cases", type=Path, required=True)
    parser.add_argument("--lines", type=int, default=3)
    options = parser.parse_args()
    rows = [json.loads(line) for line in options.file.read_text(encoding="utf-8").splitlines() if line.strip()]
    judges: dict[str, Judge] = {}
    by_intent, unanswered = Counter[str](), 0
    for row in rows:
        judge = judges.setdefault(row["rules"], Judge(load_rule_set(find_rule_set(row["rules"]))))
        path = next(options.cases.glob(f"{row['case']}*"))
        case = read_case(next(split_cases(path.read_text(encoding="utf-8"), path.name)), judge.rules, date.today())
        now, found = judge.judge(case), None
        for text in (*_asked_before(row, rows), row["text"]):
            before = found if found is not None and found.kind != "complaint" else None
            found = told(judge, case, now, text, before=before, asks=True)
        assert found is not None
        unanswered += found.kind == "complaint"
        by_intent[found.intent or "none"] += 1
        print(f"{row['case']}: {row['text']}\n  -> {found.intent or 'none'} / {found.subject or 'none'}")
        print("\n".join(f"     {line}" for line in message_lines(found)[: options.lines]))
    print(f"\n{dict(by_intent.most_common())}")
    print(f"not answered: {unanswered} of {len(rows)}, {100 * unanswered / len(rows):.0f} %")


def _asked_before(row: dict[str, str], rows: list[dict[str, str]]) -> list[str]:
    """The questions that a follow-up follows on, first to last."""
    chain, text = list[str](), row.get("after")
    while text and text not in chain:
        chain.insert(0, text)
        text = next((each.get("after") for each in rows if (each["text"], each["case"]) == (text, row["case"])), None)
    return chain


if __name__ == "__main__":
    main()

"""How many prompts truthful technicians need until the verdict is settled.

`python tests/bench/crowd.py [RULES] [N] [--in-order] [--opening]`.

The crowd is made up and seeded: tires of practice, one for each ruling, limit and doubt in turn, no verdict left out
for long. Each knows everything about its tire, and answers each prompt of `advisor walk`. Prints the averages by
verdict, with the aim; exit 1 where one is missed. With `--opening` the first line is one sentence that names vehicle,
wheel, print and injury, as far as they are known; what is heard of it, after a yes, is told. Prompts are counted after
that sentence, and the aim is half.
"""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ratio import noted

from advisor.dialogue.session import Consultation
from advisor.dialogue.walking import Walked, walked
from advisor.engine.evaluator import Judge
from advisor.engine.templates import value_in_words
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import find_rule_set
from advisor.model.case import CANT_TELL, Answer, Case, Choice
from advisor.model.quantity import Measure
from advisor.practise.made_up import Workshop
from advisor.practise.tire_maker import TireMaker, drawn
from advisor.practise.tire_plan import MIXED, plan_for

#: Settled after so many prompts at most, averaged.
AIMS = {"scrap": 4, "refer": 9, "repair": 10, "hold": 9}
SEED = "crowd"
#: How a technician says an answer, where not as the rules have it.
SAID = {
    "van-or-pickup": "van",
    "steer": "steer axle",
    "drive": "drive axle",
    "trailer": "trailer",
    "through": "right through",
    "reaches-cord": "down to the cord",
    "rubber-only": "in the rubber only",
}


def crowd(rules: str, count: int) -> tuple[Judge, Iterator[Case]]:
    """The judge, and so many whole cases, the same each time."""
    folder, copies = find_rule_set(rules), copies_folder(os.environ)
    workshop = Workshop(ready_rule_set(folder, copies), date(2026, 3, 14))
    maker = TireMaker(workshop, plan_for(workshop, copies, folder))
    items = drawn(maker.whole(), MIXED, 0, count, SEED)
    return workshop.judge, (maker.made(item, number).case for number, item in enumerate(items))


def opening_sentence(case: Case, judge: Judge) -> str:
    """The tire and its first injury in one sentence, as a technician would say it."""
    said, there = case.answers, case.injuries[0] if case.injuries else {}

    def words(name: str, answers: Mapping[str, Answer], how: str = "{}") -> str:
        answer = answers.get(name)
        if answer is None or answer is CANT_TELL:
            return ""
        plain = str(answer) if isinstance(answer, Choice) else value_in_words(answer, judge.rules.questions[name])
        return how.format(SAID.get(plain, plain))

    tire = [words("vehicle", said), words("wheel-position", said), words("sidewall", said)]
    wide, angle = words("injury-size", there, "{} wide"), words("injury-angle", there, "at an angle of {}")
    hole = [words("injury-depth", there, "a hole {}"), words("injury-zone", there, "in the {}"), wide, angle]
    return ", ".join(filter(None, [*tire, " ".join(filter(None, hole[:2])), *hole[2:]]))


def _meant(answer: Answer) -> object:
    return (answer.low, answer.high, answer.unit) if isinstance(answer, Measure) else answer


def told_by(sentence: str, case: Case, judge: Judge) -> Case:
    """What counts of a case after its opening sentence and a yes."""
    consultation = Consultation(judge, case.today)
    consultation.answer(sentence)
    if consultation.pending is not None:
        consultation.answer("yes")
    told = Case(today=case.today)
    for key, *_ in consultation.answered:
        question = judge.rules.questions[key[0]]
        heard, true = consultation.case.get(question.over, key), case.get(question.over, key)
        if heard is None or true is None:
            continue
        if _meant(heard) == _meant(true):
            told = told.with_answer(question.over, key, true)
        else:
            print(f"heard otherwise: {key[0]} in {sentence}")
    return told


def averages(judge: Judge, cases: Iterator[Case], in_order: bool, opening: bool) -> dict[str, list[Walked]]:
    """The consultations walked, by verdict."""
    found: dict[str, list[Walked]] = defaultdict(list)
    for case in cases:
        told = told_by(opening_sentence(case, judge), case, judge) if opening else None
        each = walked(judge, case, in_order, told)
        found[str(each.verdict)].append(each)
    return found


def main() -> int:
    """Prints the table; 1 where an aim was missed."""
    words = sys.argv[1:]
    rules = next((word for word in words if not word.isdigit() and not word.startswith("--")), "us-road")
    count = int(next((word for word in words if word.isdigit()), "300"))
    opening = "--opening" in words
    found, met = averages(*crowd(rules, count), "--in-order" in words, opening), True
    print(f"{rules}: {count} made-up technicians, seed {SEED}")
    for verdict, aim in AIMS.items():
        several = found.get(verdict, [])
        ended = [each.settled_after for each in several if each.settled_after is not None]
        if not ended:
            print(f"{verdict:7} none settled of {len(several)}")
            continue
        prompts, questions = mean(one for one, _ in ended) - opening, mean(two for _, two in ended)
        whole = mean(len(each.prompts) for each in several) - opening
        print(
            f"{verdict:7} {len(several):3} tires, {len(several) - len(ended)} never settled; settled after "
            f"{prompts:.1f} prompts, {questions:.1f} questions; whole record {whole:.1f} prompts"
        )
        met &= noted(f"{rules} {verdict} settled", prompts, "prompts", aim / (1 + opening))
    return int(not met)


if __name__ == "__main__":
    sys.exit(main())

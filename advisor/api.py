"""The public Python interface: a rule set by name, a case read and judged, a table of cases judged.

>>> import advisor
>>> rules = advisor.load("us-road")
>>> judgement = rules.judge({"answers": {"vehicle": "truck", "run-low": "yes"}, "injuries": []})
>>> judgement.verdict, judgement.settled
('hold', False)

What stands here stays: names are added, none is renamed or taken away. Ids of rulings, endings, methods, restrictions
and questions are the rule set's own. Whatever does not fit is raised once, as `Problems`, with every place.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from advisor.console.json_output import answer_of, labels_of, line_of, reasons_of
from advisor.engine.at_once import AtOnce, ByNumbers
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.cache import ready
from advisor.loader.case_file import CaseText, read_case
from advisor.loader.paths import DEFAULT_RULES
from advisor.model.case import Case as Case
from advisor.model.problems import Place as Place
from advisor.model.problems import Problem as Problem
from advisor.model.problems import Problems as Problems
from advisor.model.ruleset import RuleSet, Source

if TYPE_CHECKING:
    import pyarrow

    from advisor.fleet.columns import BatchJudge


class CaseJudgement:
    """What the rules say of one case. Verdict, method, restrictions, settled, missing at once; words when asked."""

    def __init__(self, case: Case, judge: Judge, by_numbers: ByNumbers) -> None:
        self.case, self.judge, self._by_numbers = case, judge, by_numbers

    @cached_property
    def _stands(self) -> AtOnce | Judgement:
        """What stands: by numbers where that says it, unless all was worked out already."""
        whole = "judgement" in self.__dict__
        return (None if whole else self._by_numbers.at_once(self.case)) or self.judgement

    @property
    def verdict(self) -> str:
        """`repair`, `refer`, `hold` or `scrap`; `hold` also where something is still to be answered or in doubt."""
        return str(self._stands.verdict)

    @property
    def ending(self) -> str:
        """The id of the ending; an empty text where there is none."""
        return self._stands.ending

    @property
    def method(self) -> str:
        """The id of the repair method; an empty text where none is allowed."""
        return self._stands.method

    @property
    def restrictions(self) -> tuple[str, ...]:
        """Ids of the conditions on the return to service."""
        return self._stands.restrictions

    def __repr__(self) -> str:
        return f"<{self.verdict}: {self.ending}>"

    @cached_property
    def judgement(self) -> Judgement:
        """The whole judgement, which the others are taken from."""
        return self.judge.judge(self.case)

    @cached_property
    def _for_words(self) -> Judgement:
        """The judgement from which words are made: by numbers, unless all was worked out already."""
        whole = "judgement" in self.__dict__
        return (None if whole else self._by_numbers.whole(self.case)) or self.judgement

    @property
    def settled(self) -> bool:
        """Whether no answer that is missing or in doubt could change the verdict."""
        return self._stands.settled

    @property
    def missing(self) -> tuple[str, ...]:
        """What is still to be answered, the next question first: `tread-depth`, `injury-size[0]`."""
        keys = self._stands.not_given
        return tuple(labels_of(keys, self.judge.rules)) if keys else ()

    @cached_property
    def reasons(self) -> list[dict[str, Any]]:
        """Every ruling that counts, put in words, as in the JSON answer: `ruling`, `says`, `limit`, `source`, ..."""
        return reasons_of(self._for_words, self.judge.rules)

    def to_json(self) -> dict[str, Any]:
        """The whole answer as plain data, the same as `advisor decide --json` prints."""
        return answer_of(self._for_words, self.judge)

    def to_json_line(self) -> str:
        """The same as JSON on one line."""
        return line_of(self._for_words, self.judge)


class Rules:
    """A rule set made ready for judging; `load` gives it. Pure: the same case on the same day is judged the same."""

    def __init__(self, rules: RuleSet, today: date | None = None) -> None:
        self.rule_set, self.judge_of_rules, self._today = rules, Judge(rules), today
        self._by_numbers = ByNumbers(self.judge_of_rules)
        #: What judged columns last: the day and how they were named; what it has met stays for the next table.
        self._of_columns: tuple[tuple[date, tuple[tuple[str, str], ...]], BatchJudge] | None = None

    def __repr__(self) -> str:
        return f"<rules {self.id}, edition {self.edition}>"

    @property
    def id(self) -> str:
        """The rule set's id, such as `us-road`."""
        return self.rule_set.about.id

    @property
    def edition(self) -> str:
        """The rule set's own dated version."""
        return self.rule_set.about.edition

    @property
    def digest(self) -> str:
        """A hash over all that the rules say."""
        return self.rule_set.digest

    @property
    def today(self) -> date:
        """The day that a case without `today` is judged on: the one given to `load`, else the clock's."""
        return self._today or date.today()

    @property
    def sources(self) -> Mapping[str, Source]:
        """The texts that the limits are taken from, by id: title, publisher, edition, how each was read."""
        return self.rule_set.sources

    def read(self, case: Mapping[str, Any] | CaseText) -> Case:
        """The case in a mapping that says what a case file says. Raises Problems, all at once.

        A place is the way to the value: `injuries[0].injury-size`.
        """
        if not isinstance(case, CaseText):
            from advisor.loader.case_dict import case_of_dict

            case = case_of_dict(case)
        return read_case(case, self.rule_set, self.today)

    def judge(self, case: Case | Mapping[str, Any]) -> CaseJudgement:
        """The judgement of a case, read already or not. Raises Problems for one that does not fit."""
        read = case if isinstance(case, Case) else self.read(case)
        if read.today is None:
            from msgspec.structs import replace

            read = replace(read, today=self.today)
        return CaseJudgement(read, self.judge_of_rules.on(read.today), self._by_numbers)

    def missing(self, case: Case | Mapping[str, Any]) -> tuple[str, ...]:
        """What is still to be answered of a case, the next question first. Raises Problems."""
        return self.judge(case).missing

    def judge_table(self, table: pyarrow.Table, columns: Mapping[str, str] | None = None) -> pyarrow.Table:
        """A row for each, in its order: verdict, ending, method, restrictions, settled, missing, problem.

        Columns are named by question, as in a CSV batch (`tread-depth`, `injury-size[0]`); `columns` says what another
        name holds, or an empty text where a column is left out. A row that does not fit has its `problem` told, and no
        verdict. Needs pyarrow (extra `parquet`). Raises Problems for a column that is no question's name.
        """
        judge = self.column_function(columns)
        from advisor.fleet.columns import judged_table

        return judged_table(table, judge)

    def column_function(self, columns: Mapping[str, str] | None = None) -> BatchJudge:
        """What judges a `pyarrow.RecordBatch` and gives one, a row for each: `judge_table` for an engine that maps it.

        It carries the rules and can be pickled; what it gives is of the schema `advisor.fleet.columns.RESULT`.
        """
        from advisor.fleet.packages import needs

        needs("pyarrow", "parquet")
        needs("numpy", "parquet")
        from advisor.fleet.columns import batch_judge

        how = self.today, tuple(sorted((columns or {}).items()))
        if self._of_columns is None or self._of_columns[0] != how:
            self._of_columns = how, batch_judge(self.judge_of_rules, self.today, columns)
        return self._of_columns[1]


def load(rules: str = DEFAULT_RULES, today: date | None = None) -> Rules:
    """The rule set of an id or in a folder.

    Parameters
    ----------
    rules : an id (`us-road`, `uk-road`, `de-road`) or the path of a folder that holds about.yaml
    today : the day to judge on, where a case does not say its own; the clock's where none is given

    Raises
    ------
    Problems : every problem of the rule set's files, each with its place
    """
    return Rules(ready(rules, os.environ), today)

"""What a ruling brings whose condition stays open: the one place that says so, for judging and for the proofs."""

from __future__ import annotations

from collections.abc import Collection

from advisor.model.ruleset import RuleSet, Ruling, Verdict


class Doubt:
    """What doubt brings under a rule set."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules

    @staticmethod
    def is_quiet(ruling: Ruling, silent: bool, asked: bool) -> bool:
        """Whether nobody was in doubt, since nobody was asked.

        `silent`: nothing was answered of what leaves it open; `asked`: some of that was asked for, and left out.
        """
        return silent and not (ruling.ending and asked) and ruling.in_doubt != "same"

    @staticmethod
    def counts(ruling: Ruling, quiet: bool) -> bool:
        """Whether a ruling that stays open, and for which nothing is still to be asked, counts as it stands."""
        return ruling.in_doubt != "never" and not quiet and not (ruling.allows and not ruling.cautions)

    def ending(self, ruling: Ruling, names: Collection[str]) -> str:
        """The ending that counts when doubt about these answers leaves a ruling open; none where it brings none."""
        if not ruling.ending or ruling.in_doubt == "same":
            return ruling.ending
        if ruling.same_for and all(name in ruling.same_for for name in names):
            return ruling.doubt_ending or ruling.ending
        return ruling.in_doubt or self.rules.about.when_in_doubt

    def brings(self, ruling: Ruling, names: Collection[str]) -> tuple[str, Verdict | None]:
        """The ending of a ruling in doubt, and its verdict: what speaks for repair does so in no doubt only."""
        ending = self.ending(ruling, names)
        return ending, self.rules.endings[ending].verdict if ending else None

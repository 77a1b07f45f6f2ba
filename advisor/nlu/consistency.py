"""What was said of vehicle, wheel and choices has to fit together; where it doesn't, it is asked and not taken."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.nlu.evidence import Gathered
from advisor.nlu.negation_scope import Denial, denial_of
from advisor.nlu.slots.base import Sayer
from advisor.nlu.tagger import Clause, gives_of

#: Vehicles whose front wheels are the steer axle, and whose rear wheels are the only others.
AN_AXLE_AT_EACH_END = ("car", "van-or-pickup")


class CrossChecks(Sayer):
    """Checks over the whole sentence."""

    def _one_vehicle(self, clauses: Sequence[Clause]) -> None:
        """Two vehicles named, and no phrase that names the tire's own: which one is asked, neither is taken."""
        named: set[str] = set()
        outright = False
        for clause in clauses:
            for mark in clause.marks:
                gives = [choice for question, choice in gives_of(mark) if question == inputs.VEHICLE]
                if gives and denial_of(mark, clause) is not Denial.DENIED:
                    named.update(gives)
                    outright = outright or len(gives_of(mark, "said")) > 1
        own = [piece for piece in self.gathered.pieces if piece.question == inputs.VEHICLE]
        if len(named) > 1 and own and not outright and not any(piece.corrected for piece in own):
            _drop(self.gathered, inputs.VEHICLE)
            self.gathered.ask(
                inputs.VEHICLE, TIRE, f"{' and '.join(sorted(named))} were named: which is the tire from?"
            )

    def _front_or_rear(self) -> None:
        """Front and rear name an axle only of a vehicle that is known, and not of a trailer; else they are asked.

        Of one with an axle at each end they name it for certain: the rear left of a car.
        """
        vehicle = next(
            (piece.written for piece in self.gathered.pieces if piece.question == inputs.VEHICLE), self.vehicle
        )
        weak = [piece for piece in self.gathered.pieces if piece.question == inputs.WHEEL_POSITION and piece.weak]
        if weak and vehicle in ("", "trailer", "other", "cant-tell"):
            self.gathered.pieces[:] = [piece for piece in self.gathered.pieces if piece not in weak]
            self.gathered.ask(inputs.WHEEL_POSITION, TIRE, f'"{weak[0].words}" leaves it open')
        for piece in weak if vehicle in AN_AXLE_AT_EACH_END else ():
            piece.doubt = ""

    def doubt_axle(self) -> None:
        """An axle of another vehicle is in doubt where the line may be of a trailer: tri-axle, front axle."""
        if any(piece.question == inputs.VEHICLE and piece.written == "trailer" for piece in self.gathered.pieces):
            for piece in self.gathered.pieces:
                if piece.question == inputs.WHEEL_POSITION and piece.written != "trailer" and not piece.hedge:
                    piece.hedge = f'"{piece.words}": of a trailer?'

    def _all_denied(self) -> None:
        """Neither retreaded nor regrooved: with every other choice denied the one left is in no doubt."""
        for question in {piece.question for piece in self.gathered.pieces if piece.denies}:
            own = [piece for piece in self.gathered.pieces if piece.question == question]
            others = {choice.id for choice in self.rules.questions[question].choices} - {own[0].written}
            if others == {piece.denies for piece in own}:
                for piece in own:
                    piece.doubt = ""

    def _cross_check(self) -> None:
        """A trailer's axle and another vehicle, or the other way round; readings of two wheels."""
        if _several_wheels(self.gathered):
            for question in (inputs.TREAD_DEPTH, inputs.FOUND_PRESSURE):
                if any(piece.question == question for piece in self.gathered.pieces):
                    _drop(self.gathered, question)
                    self.gathered.ask(question, TIRE, "two wheels were named: of which tire?")
        pieces = self.gathered.pieces
        said = {piece.question: piece.written for piece in sorted(pieces, key=lambda piece: not piece.weak)}
        vehicle, wheel = said.get(inputs.VEHICLE), said.get(inputs.WHEEL_POSITION)
        if not vehicle or not wheel or wheel == "other" or "cant-tell" in (vehicle, wheel):
            return
        if (wheel == "trailer") != (vehicle == "trailer"):
            drop = inputs.VEHICLE if wheel == "trailer" else inputs.WHEEL_POSITION
            _drop(self.gathered, drop)
            other = wheel if drop == inputs.VEHICLE else vehicle
            self.gathered.ask(drop, TIRE, f"{said[drop]}, and {other}: which of the two?")


def _several_wheels(gathered: Gathered) -> bool:
    """Whether two wheels were named, and none of them as a correction."""
    own = [piece for piece in gathered.pieces if piece.question == inputs.WHEEL_POSITION and not piece.weak]
    return len({piece.written for piece in own}) > 1 and not any(piece.corrected for piece in own)


def _drop(gathered: Gathered, question: str) -> None:
    gathered.pieces[:] = [piece for piece in gathered.pieces if piece.question != question]
    gathered.asks.pop((question, TIRE), None)

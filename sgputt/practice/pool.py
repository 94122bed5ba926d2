"""Losses that drills draw on: each is counted once, however many drills train it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp

import polars as pl

from sgputt.inference.cells import ANY
from sgputt.practice.drills import SLOPES, Drill, Target
from sgputt.practice.priorities import REACHABLE_SHARE, ranked_losses, why
from sgputt.putts.bands import RANGES_FT

# Balls on one kind of putt after which about two thirds of what a session can bring there is
# brought; so more of the same brings less. An assumption of this project, no source.
ENOUGH_BALLS = 20.0
# A gate works on one of the causes of a miss only, the start line. Half is a choice, no source.
_GATE_SHARE = 0.5
# The balls of a streak are a limit; most sets are over after about half of them.
_STREAK_SHARE = 0.5


@dataclass(frozen=True)
class Loss:
    """A cell that loses strokes.

    Attributes
    ----------
    lost : float
        Shrunk loss a round of 18 holes.
    """

    distance: str
    slope: str
    component: str
    lost: float

    @property
    def words(self) -> str:
        """The loss in words."""
        return why(self.distance, self.slope, self.component, self.lost)


# Where a player without rounds is taken to have something to win: an order, not strokes. Common
# practice, no source.
GENERAL_LOSSES = tuple(
    Loss(distance, ANY, component, weight)
    for distance, component, weight in (
        ("3-5 ft", "holing", 0.20),
        ("25-40 ft", "leave", 0.20),
        ("5-7 ft", "holing", 0.20),
        ("15-25 ft", "leave", 0.15),
        ("7-10 ft", "holing", 0.15),
        ("10-15 ft", "holing", 0.10),
        ("40+ ft", "leave", 0.10),
        ("0-3 ft", "holing", 0.05),
        ("7-10 ft", "leave", 0.05),
    )
)


def losses_of(cells: pl.DataFrame) -> list[Loss]:
    """Losses of a cell table, as the priorities rank them: each band and component once."""
    return [
        Loss(row["distance"], row["slope"], row["component"], -row["shrunk_per_round"])
        for row in ranked_losses(cells)
    ]


class Pool:
    """What practice can still win back of some losses.

    Parameters
    ----------
    losses : iterable of Loss
    """

    def __init__(self, losses: Iterable[Loss]) -> None:
        self._left = {loss: REACHABLE_SHARE * loss.lost for loss in losses}

    @property
    def left(self) -> float:
        """Strokes a round still within reach."""
        return sum(self._left.values())

    def claims(self, drill: Drill) -> dict[Loss, float]:
        """What one set of a drill would win back of each loss, strokes a round, largest first.

        Of what is still within reach: the share of the cell the drill covers, times
        ``1 - exp(-b / 20)`` for the ``b`` balls of the set that go to that cell. Half of that for
        a gate, which works on the start line alone; of a streak half the balls are counted.
        """
        claims = {}
        direct = _GATE_SHARE if drill.kind == "gate" else 1.0
        putted = drill.balls * (_STREAK_SHARE if drill.scoring.type == "streak" else 1.0)
        for loss, left in self._left.items():
            covered = drill.covers(loss.distance, loss.slope, loss.component)
            balls = putted * attention(drill, loss)
            claim = left * direct * covered * (1 - exp(-balls / ENOUGH_BALLS))
            if claim > 0:
                claims[loss] = claim
        return dict(sorted(claims.items(), key=lambda each: -each[1]))

    def take(self, drill: Drill) -> dict[Loss, float]:
        """Take what a set wins back out of the pool, and give it."""
        claims = self.claims(drill)
        for loss, claim in claims.items():
            self._left[loss] -= claim
        return claims


def attention(drill: Drill, loss: Loss) -> float:
    """Share of what a drill trains that lies in the cell of a loss, 0 to 1."""
    slopes = (loss.slope,) if loss.slope in SLOPES else SLOPES
    low, high = RANGES_FT[loss.distance]
    inside = sum(
        _shared(target, low, high) * len(set(target.slopes) & set(slopes))
        for target in drill.trains
        if target.component == loss.component
    )
    whole = sum(
        (target.high_ft - target.low_ft) * len(set(target.slopes)) for target in drill.trains
    )
    return inside / whole


def _shared(target: Target, low: float, high: float) -> float:
    return max(0.0, min(high, target.high_ft) - max(low, target.low_ft))

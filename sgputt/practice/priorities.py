"""What to practise next: losses worth practising, each with its drill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from sgputt.inference.cells import ANY, FEWEST_PUTTS, SURE
from sgputt.practice.aim import Aim
from sgputt.practice.drills import Drill
from sgputt.practice.pass_mark import pass_mark
from sgputt.stroke.model import TOUR, Stroke

Row = dict[str, Any]

# Half of a loss is taken as within reach of practice: an assumption, common practice, no source.
REACHABLE_SHARE = 0.5
MOST_PRIORITIES = 5
LEAST_LOSS = 0.01
# A slope is named when it carries most of its band's loss and is likely a loss of its own.
_SLOPE_CARRIES = 0.6
_SLOPE_CHANCE = 0.8
# Half the width of a 90 % interval in standard deviations, and how many of them are taken off.
_INTERVAL_SPREADS = 1.645
_DOUBT = 0.75


@dataclass(frozen=True)
class Priority:
    """One loss and what to do about it. Strokes are a round of 18 holes, losses positive.

    Attributes
    ----------
    loss_per_round, low, high : float
        Shrunk loss with its posterior interval.
    chance_of_loss : float
        Posterior probability that the loss is real.
    rounds_to_tell : int or None
        Rounds after which a loss this large would be told from luck.
    drill : Drill
        Set up as the pass mark takes it.
    set_up : str
        Why that differs from the catalogue's set-up; empty when it does not.
    worth_per_round : float
        What the drill should bring: the reachable share of the part of the loss it trains.
    """

    rank: int
    distance: str
    slope: str
    component: str
    putts: int
    loss_per_round: float
    low: float
    high: float
    chance_of_loss: float
    rounds_to_tell: int | None
    drill: Drill
    why: str
    pass_mark: str
    worth_per_round: float
    set_up: str = ""

    @property
    def sure(self) -> bool:
        """Whether the loss can be told from luck: 19 chances in 20, from ten putts or more."""
        return self.chance_of_loss >= SURE and self.putts >= FEWEST_PUTTS

    def as_dict(self) -> dict[str, object]:
        """Its JSON, which scripts may rely on."""
        return {
            "rank": self.rank,
            "distance": self.distance,
            "slope": self.slope,
            "component": self.component,
            "loss_per_round": self.loss_per_round,
            "low": self.low,
            "high": self.high,
            "chance_of_loss": self.chance_of_loss,
            "rounds_to_tell": self.rounds_to_tell,
            "drill": self.drill.id,
            "drill_name": self.drill.name,
            "why": self.why,
            "pass_mark": self.pass_mark,
            "worth_per_round": self.worth_per_round,
            "minutes": self.drill.minutes,
        }


def rank_priorities(
    cells: pl.DataFrame,
    drills: Sequence[Drill],
    target: Stroke | None = None,
    most: int = MOST_PRIORITIES,
    own: Stroke | None = None,
) -> list[Priority]:
    """Losses in order, the surest first, each with the drill that trains it best.

    A band and component comes once: as its one slope that carries the loss, or as a whole.

    Parameters
    ----------
    cells : polars.DataFrame
        From :func:`sgputt.inference.cells.cell_table`.
    drills : sequence of Drill
    target : Stroke, optional
        Spreads aimed at by the pass marks; the tour's unless given.
    most : int
        Length of the list; it is shorter when fewer cells lose strokes.
    own : Stroke, optional
        The player's spreads as they are now, for pass marks of their own; see
        :func:`sgputt.practice.aim.aim_of`.
    """
    aim = Aim(target or TOUR, own)
    priorities: list[Priority] = []
    for row in ranked_losses(cells):
        drill = best_drill(drills, row["distance"], row["slope"], row["component"])
        if drill is not None and len(priorities) < most:
            priorities.append(_priority(len(priorities) + 1, row, drill, aim))
    return priorities


def ranked_losses(cells: pl.DataFrame) -> list[Row]:
    """Rows of the cell table that lose strokes, each band and component once, surest loss first.

    In order of the shrunk loss less three quarters of its posterior spread: of two losses about as
    large, the one less likely to be luck comes first. The share was chosen with invented seasons.
    """
    losses = [
        _sharpest(group)
        for _, group in cells.group_by("distance", "component", maintain_order=True)
    ]
    return sorted(
        (row for row in losses if row["shrunk_per_round"] <= -LEAST_LOSS), key=_likely_gain
    )


def _likely_gain(row: Row) -> float:
    """Strokes gained a round, part of a posterior spread on the cautious side of a loss."""
    spread = (row["shrunk_high"] - row["shrunk_low"]) / (2 * _INTERVAL_SPREADS)
    return float(row["shrunk_per_round"] + _DOUBT * spread)


def _sharpest(group: pl.DataFrame) -> Row:
    """The slope that carries a band's loss, or the whole band."""
    whole = group.filter(pl.col("slope") == ANY).row(0, named=True)
    worst = group.filter(~pl.col("slope").is_in([ANY, "unknown"])).sort("shrunk_per_round")
    if worst.is_empty():
        return whole
    slope = worst.row(0, named=True)
    carries = slope["shrunk_per_round"] <= _SLOPE_CARRIES * min(whole["shrunk_per_round"], 0.0)
    return slope if carries and slope["chance_of_loss"] >= _SLOPE_CHANCE else whole


def best_drill(drills: Sequence[Drill], distance: str, slope: str, component: str) -> Drill | None:
    """Drill that covers most of a cell and strays least from it; None when none trains it."""

    def fit(drill: Drill) -> float:
        return drill.covers(distance, slope, component) * _focus(drill, slope)

    best = max(drills, key=fit, default=None)
    return best if best is not None and fit(best) > 0 else None


def _focus(drill: Drill, slope: str) -> float:
    """Share of what a drill trains that lies on the slope wanted."""
    if slope == ANY:
        return 1.0
    slopes = {each for target in drill.trains for each in target.slopes}
    return 1.0 / len(slopes)


def _priority(rank: int, row: Row, drill: Drill, aim: Aim) -> Priority:
    loss = -row["shrunk_per_round"]
    distance, slope, component = (row[name] for name in ("distance", "slope", "component"))
    covered = drill.covers(distance, slope, component)
    mark = pass_mark(drill, aim.target, aim.own)
    return Priority(
        rank=rank,
        distance=distance,
        slope=slope,
        component=component,
        putts=row["putts"],
        loss_per_round=loss,
        low=-row["shrunk_high"],
        high=-row["shrunk_low"],
        chance_of_loss=row["chance_of_loss"],
        rounds_to_tell=row["rounds_to_tell"],
        drill=mark.drill,
        why=why(distance, slope, component, loss),
        pass_mark=mark.text,
        set_up=mark.set_up,
        worth_per_round=REACHABLE_SHARE * covered * loss,
    )


def why(distance: str, slope: str, component: str, loss: float) -> str:
    """A loss in words."""
    where = f"{distance} putts" if slope == ANY else f"{slope} putts of {distance}"
    what = "too few holed" if component == "holing" else "misses left too far away"
    return f"{where}: {what}, about {loss:.2f} strokes a round"

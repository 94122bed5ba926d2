"""A baseline: what others need from each distance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import expit, logit

from sgputt.baseline.monotone import MonotoneCubic
from sgputt.errors import RangeError
from sgputt.physics.roll import Array
from sgputt.stroke.expected import expected_grid, leave_spread
from sgputt.stroke.player import PuttingStroke
from sgputt.stroke.population import MEAN_GRADE

SHORTEST_FT = 0.5
LONGEST_FT = 100.0
GRID_FT: Array = np.concatenate(
    [
        np.arange(SHORTEST_FT, 20.0, 0.5),
        np.arange(20.0, 40.0, 1.0),
        np.arange(40.0, LONGEST_FT + 1, 2.0),
    ]
)
TENTHS = 10.0
# Tenths of a millimetre: finer than any unit that lengths are written in.
_STEPS_A_FOOT = 3048.0
# Of fewer lengths sorting is as quick.
_WORTH_STEPS = 100_000
# Fewer misses than this share say nothing of what comes after them.
_SURE_MISSES = 1e-6
# Putts after a miss are a little over 1 near the hole, so that none falls below between the table's
# lengths; in feet cubed.
_MORE_AFTER = 0.02


@dataclass(frozen=True)
class Baseline:
    """Expected putts and make share by distance, of the players one is compared with.

    Between the table's distances a monotone cubic. Valid from 0.5 to 100 ft; a
    shorter putt counts as a tap-in of 0.5 ft, a longer one is an error.

    Attributes
    ----------
    name : str
        What ``--baseline`` takes.
    title, source, era : str
        Whose figures, from where, of when.
    limits : str
        Where it is less sure.
    approximate : bool
        Built from few published figures, or fitted; said wherever it is shown.
    table : polars.DataFrame
        ``distance_ft, one_putt, expected_putts, three_putt, leave_spread``, rising in distance.
    """

    name: str
    title: str
    source: str
    era: str
    limits: str
    approximate: bool
    table: pl.DataFrame

    @cached_property
    def _curves(self) -> dict[str, Lookup]:
        names = [name for name in self.table.columns if name != "distance_ft"]
        return {name: self._lookup(name) for name in names}

    @cached_property
    def _before(self) -> Lookup:
        return self._lookup("expected_putts", "one_putt", "leave_spread")

    def _lookup(self, *names: str) -> Lookup:
        distance = self.table["distance_ft"].to_numpy()
        return Lookup(MonotoneCubic(distance, self.table.select(names).to_numpy()))

    def before(self, distance_ft: Array) -> tuple[Array, Array, Array]:
        """Putts to hole out, one-putt share and leave spread, looked up together.

        Shapes are that of ``distance_ft``; NaN stays NaN; raises as :meth:`expected_putts`.
        """
        expected, share, spread = self._before.at(_within(distance_ft))
        return expected, share, spread

    def expected_putts(self, distance_ft: Array) -> Array:
        """Putts to hole out, by distance in feet; NaN stays NaN.

        Raises
        ------
        RangeError
            A distance that is not positive, or over 100 ft.
        """
        return self._curve("expected_putts", distance_ft)

    def one_putt(self, distance_ft: Array) -> Array:
        """Share holed with one putt, by distance in feet; raises as :meth:`expected_putts`."""
        return self._curve("one_putt", distance_ft)

    def three_putt(self, distance_ft: Array) -> Array:
        """Share that takes three putts or more; raises as :meth:`expected_putts`."""
        return self._curve("three_putt", distance_ft)

    def leave_spread(self, distance_ft: Array) -> Array:
        """Standard deviation, in putts, of what a miss leaves; raises as :meth:`expected_putts`."""
        return self._curve("leave_spread", distance_ft)

    def _curve(self, name: str, distance_ft: Array) -> Array:
        (found,) = self._curves[name].at(_within(distance_ft))
        return found


class Lookup:
    """Curves of a baseline; lengths in whole tenths of a foot, as most are written, by a table.

    The table holds what the curves give there, so that both ways agree to the last digit.
    """

    def __init__(self, curves: MonotoneCubic) -> None:
        self._curves = curves
        tenths = np.arange(1, LONGEST_FT * TENTHS + 1) / TENTHS
        values = curves(np.maximum(tenths, SHORTEST_FT))
        # No length is 0: its row stands for those that are not known.
        self._columns = np.insert(values, 0, np.nan, axis=0).T.copy()

    def at(self, distance_ft: Array) -> list[Array]:
        """Value of each curve, in the shape of ``distance_ft``; NaN stays NaN."""
        tenths = np.rint(distance_ft * TENTHS)
        whole = tenths / TENTHS == distance_ft
        row = np.where(whole, tenths, 0.0).astype(np.intp)
        values = [np.asarray(np.take(column, row)) for column in self._columns]
        if not np.all(whole):
            others = ~whole & ~np.isnan(distance_ft)
            # Sorted lengths, each once, are found in the curves' table much sooner.
            lengths, at = each_once(distance_ft[others])
            for value, found in zip(values, self._curves(lengths).T, strict=True):
                value[others] = found[at]
        return values


def each_once(length_ft: Array) -> tuple[Array, NDArray[np.intp]]:
    """Lengths sorted and each once, and the place of every one among them: as ``np.unique`` does.

    Lengths are written in whole units, however they were converted: each then has a small step of
    its own, and finding it takes no sorting. Where two share a step they are sorted.

    Parameters
    ----------
    length_ft : ndarray, shape (n,)
        Any numbers; those outside the baseline are sorted.
    """
    many = len(length_ft) > _WORTH_STEPS
    if many and length_ft.min() >= 0 and length_ft.max() <= LONGEST_FT:
        step = np.rint(length_ft * _STEPS_A_FOOT).astype(np.intp)
        at_step = np.full(int(LONGEST_FT * _STEPS_A_FOOT) + 2, np.nan)
        at_step[step] = length_ft
        if np.array_equal(at_step[step], length_ft):
            there = ~np.isnan(at_step)
            return at_step[there], (np.cumsum(there) - 1)[step]
    lengths, at = np.unique(length_ft, return_inverse=True)
    return lengths, at


def stroke_table(
    stroke: PuttingStroke, one_putt: Array | None = None, grade: float = MEAN_GRADE
) -> pl.DataFrame:
    """Baseline table of a stroke, over all greens of a mean grade.

    Parameters
    ----------
    stroke : PuttingStroke
        Gives what comes after a miss, and the make shares unless ``one_putt`` is given.
    one_putt : ndarray, optional
        Make shares on :data:`GRID_FT` to use instead of the model's.
    grade : float
        Rise over run.
    """
    grid = expected_grid(stroke, grade=grade)
    made, expected, three = (
        each[:, -1, -1] for each in (grid.one_putt, grid.expected, grid.three_putt)
    )
    missed = np.maximum(1 - made, np.finfo(np.float64).eps)
    # Where next to nothing is missed, what comes after is taken from the first length with misses.
    first = int(np.argmax(missed > _SURE_MISSES))
    known = np.maximum(np.arange(len(missed)), first)
    beyond, again = ((expected - 1) / missed)[known], (three / missed)[known]
    at = np.log(GRID_FT)

    def curve(values: Array) -> Array:
        return MonotoneCubic(np.log(grid.length_ft), values)(at)

    if one_putt is None:
        one_putt = expit(curve(logit(np.clip(made, _SURE_MISSES, 1 - _SURE_MISSES))))
    third = curve(again)
    after = np.maximum(curve(beyond), 1 + third + _MORE_AFTER / GRID_FT**3)
    return pl.DataFrame(
        {
            "distance_ft": GRID_FT,
            "one_putt": one_putt,
            "expected_putts": 1 + (1 - one_putt) * after,
            "three_putt": (1 - one_putt) * third,
            "leave_spread": np.maximum(curve(leave_spread(stroke, grade=grade)), _SURE_MISSES),
        }
    )


def _within(distance_ft: Array) -> Array:
    wrong = (distance_ft <= 0) | (distance_ft > LONGEST_FT)
    if np.any(wrong):
        first = float(distance_ft[wrong].flat[0]) if distance_ft.ndim else float(distance_ft)
        raise RangeError(
            f"{first:g} ft lies outside the baseline, which runs to {LONGEST_FT:g} ft.",
            f"Give a length over 0 and up to {LONGEST_FT:g} ft ({LONGEST_FT * 0.3048:.1f} m).",
        )
    return np.maximum(distance_ft, SHORTEST_FT)

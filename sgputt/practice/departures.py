"""Where a player's results depart from what their own stroke would give: in one length or slope.

The stroke is one for all lengths. A weakness of short putts alone, or of downhill pace alone, shows
as strokes that it does not explain. Such a departure is believed only against evidence: the stroke
is a model, and looking at many places finds something by luck.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import stdtr

from sgputt.inference.cells import ANY
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.physics.roll import Array
from sgputt.practice.scoring import SLOPES
from sgputt.putts.table import BREAKS, ROUND_KEY
from sgputt.putts.table import SLOPES as WRITTEN_SLOPES
from sgputt.stroke.expected import ExpectedGrid

RANGES_FT = ((1.0, 4.0), (3.0, 7.0), (7.0, 12.0), (12.0, 20.0), (20.0, 35.0), (35.0, 100.0))
# Chance of a false departure among all places looked at together (Holm's first step).
_FALSE = 0.02
# What the model may be wrong by in one place, strokes a round: on invented greens and cards that it
# does not believe, places departed by up to 0.16 of players who have no departure.
_DOUBT = 0.06
# How far true departures lie about none, strokes a round: what the one found is shrunk by. A
# choice, no source. Smaller ones are not worth naming.
_SPREAD = 0.15
_LEAST = 0.05
_FEWEST_ROUNDS, _FEWEST_PUTTS = 8, 20
# A departure whose misses stop this many standard errors further than expected is of pace.
_SURE_OF_LEAVES = 1.64


@dataclass(frozen=True)
class Departure:
    """A place where more is lost than the player's own stroke explains.

    Attributes
    ----------
    low_ft, high_ft : float
    slope : str
        A word of the putts table, or ``any``.
    cause : str
        ``pace`` where misses stop further than expected, else ``direction``.
    lost : float
        Strokes a round beyond what the stroke explains, shrunk.
    error : float
        Its standard error, with what the model may be wrong by.
    """

    low_ft: float
    high_ft: float
    slope: str
    cause: str
    lost: float
    error: float


def departure_of(gained: pl.DataFrame, holes: int, own: ExpectedGrid) -> Departure | None:
    """The surest departure of some rounds from the player's own stroke; None where none is sure.

    Parameters
    ----------
    gained : polars.DataFrame
        Putts of one player as scored: the putts table with ``counts``.
    holes : int
        Holes played.
    own : ExpectedGrid
        Expected putts of the player's own stroke.
    """
    putts = gained.filter(
        "counts", (pl.col("result") == "holed") | pl.col("leave_ft").is_not_null()
    )
    rounds = putts.select(ROUND_KEY).n_unique() if putts.height else 0
    if rounds < _FEWEST_ROUNDS:
        return None
    surplus, left = _beyond_the_stroke(putts, own)
    number = putts.select(pl.struct(ROUND_KEY).rank("dense")).to_series().to_numpy() - 1
    length = putts["distance_ft"].to_numpy()
    slope = putts["slope"].cast(pl.String).to_numpy()
    scale = HOLES_IN_A_ROUND * rounds / max(holes, 1)
    tried, best = 0, None
    for low, high in RANGES_FT:
        for word in (ANY, *SLOPES):
            inside = (length > low) & (length <= high)
            inside &= (slope == word) if word != ANY else True
            if inside.sum() < _FEWEST_PUTTS:
                continue
            tried += 1
            sums = np.bincount(number[inside], surplus[inside], rounds) * scale
            mean, error = float(sums.mean()), float(sums.std(ddof=1) / np.sqrt(rounds))
            error = float(np.hypot(error, _DOUBT))
            if best is None or mean / error < best[0]:
                best = (mean / error, mean, error, low, high, word, inside)
    if best is None:
        return None
    ratio, mean, error, low, high, word, inside = best
    lost = -mean * _SPREAD**2 / (_SPREAD**2 + error**2)
    if float(stdtr(rounds - 1, ratio)) * tried > _FALSE or lost < _LEAST:
        return None
    leaves = left[inside]
    leaves = leaves[np.isfinite(leaves)]
    far = len(leaves) > 1 and leaves.mean() < -_SURE_OF_LEAVES * leaves.std() / np.sqrt(len(leaves))
    return Departure(low, high, word, "pace" if far else "direction", lost, error)


def _beyond_the_stroke(putts: pl.DataFrame, own: ExpectedGrid) -> tuple[Array, Array]:
    """Strokes gained against the own stroke, less their mean; and by the leave alone, of misses."""
    slope = _codes(putts["slope"], WRITTEN_SLOPES)
    turn = _codes(putts["break"], BREAKS)
    length = putts["distance_ft"].to_numpy()
    holed = (putts["result"] == "holed").to_numpy()
    leave = np.where(holed, 1.0, putts["leave_ft"].fill_null(1.0).to_numpy())
    before = own.at(length, slope, turn)
    unknown = np.full(len(length), len(WRITTEN_SLOPES) - 1)
    after = np.where(holed, 0.0, own.at(np.maximum(leave, own.length_ft[0]), unknown, unknown))
    surplus = before - 1 - after
    # What the stroke gets wrong everywhere is no departure anywhere.
    weight = before - 1
    surplus = surplus - weight * surplus.sum() / weight.sum()
    one = np.asarray(_one_putt(own, length, slope, turn))
    usual = 1 + (before - 1 - (1 - one)) / np.maximum(1 - one, 1e-6)
    return surplus, np.where(holed, np.nan, usual - after)


def _one_putt(
    own: ExpectedGrid, length: Array, slope: NDArray[np.intp], turn: NDArray[np.intp]
) -> Array:
    chances = own.one_putt[:, slope, turn]
    at = np.clip(np.searchsorted(own.length_ft, length), 1, len(own.length_ft) - 1)
    low, high = own.length_ft[at - 1], own.length_ft[at]
    share = np.clip((length - low) / (high - low), 0.0, 1.0)
    rows = np.arange(len(length))
    return np.asarray((1 - share) * chances[at - 1, rows] + share * chances[at, rows])


def _codes(words: pl.Series, known: tuple[str, ...]) -> NDArray[np.intp]:
    codes = {word: at for at, word in enumerate(known)}
    last = len(known) - 1
    found = words.cast(pl.String).replace_strict(codes, default=last, return_dtype=pl.Int64)
    return found.fill_null(last).to_numpy().astype(np.intp)

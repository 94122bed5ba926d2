"""Where a player's results depart from what their own stroke would give: in one length or slope.

The stroke is one for all lengths. A weakness of short putts alone, or of downhill pace alone, shows
as strokes that it does not explain. Such a departure is believed only against evidence: the stroke
is a model, and looking at many places finds something by luck.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import stdtr

from sgputt.inference.cells import ANY
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.inference.shrinkage import paule_mandel
from sgputt.physics.roll import Array
from sgputt.practice.scoring import SLOPES
from sgputt.putts.table import BREAKS, ROUND_KEY
from sgputt.putts.table import SLOPES as WRITTEN_SLOPES
from sgputt.stroke.expected import ExpectedGrid

RANGES_FT = ((1.0, 4.0), (3.0, 7.0), (7.0, 12.0), (12.0, 20.0), (20.0, 35.0), (35.0, 100.0))
# Chance of a false departure among all places looked at together (Holm's first step).
_FALSE = 0.02
# What the model may be wrong by in one place, strokes a round: on invented greens and cards that it
# does not believe, places departed by up to 0.16 of players who have no departure. Of that so much
# is this player's alone, by greens and cards of their own, whatever others show.
_DOUBT, _OWN_DOUBT = 0.06, 0.03
# How far true departures lie about none, strokes a round: what the one found is shrunk by. A
# choice, no source. Smaller ones are not worth naming.
_SPREAD = 0.15
_LEAST = 0.05
_FEWEST_ROUNDS, _FEWEST_PUTTS = 8, 20
# A departure whose misses stop this many standard errors further than expected is of pace.
_SURE_OF_LEAVES = 1.64

# Range of length in feet and slope.
Place = tuple[float, float, str]


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
    players : int
        Other players that it was held against: those with enough putts there.
    """

    low_ft: float
    high_ft: float
    slope: str
    cause: str
    lost: float
    error: float
    players: int = 0


@dataclass(frozen=True)
class Surplus:
    """What a player gained in one place beyond what their own stroke would; n rounds.

    Attributes
    ----------
    place : tuple of (float, float, str)
        Feet above, feet up to, and a word of slope or ``any``.
    gained, error : float
        Strokes a round, and the standard error by the luck of rounds.
    further : bool
        Whether misses stop further from the hole than expected.
    """

    place: Place
    gained: float
    error: float
    further: bool


def surpluses(putts: pl.DataFrame, holes: int, own: ExpectedGrid) -> list[Surplus]:
    """What was gained beyond the stroke, place by place; empty where rounds are few.

    Parameters
    ----------
    putts : polars.DataFrame
        Putts of one player as scored: the putts table with ``counts``.
    holes : int
        Holes played.
    own : ExpectedGrid
        Expected putts of the player's own stroke.
    """
    known = putts.filter("counts", (pl.col("result") == "holed") | pl.col("leave_ft").is_not_null())
    rounds = known.select(ROUND_KEY).n_unique() if known.height else 0
    if rounds < _FEWEST_ROUNDS:
        return []
    surplus, left = _beyond_the_stroke(known, own)
    number = known.select(pl.struct(ROUND_KEY).rank("dense")).to_series().to_numpy() - 1
    length = known["distance_ft"].to_numpy()
    slope = known["slope"].cast(pl.String).to_numpy()
    scale = HOLES_IN_A_ROUND * rounds / max(holes, 1)
    found = []
    for low, high in RANGES_FT:
        for word in (ANY, *SLOPES):
            inside = (length > low) & (length <= high)
            inside &= (slope == word) if word != ANY else True
            if inside.sum() < _FEWEST_PUTTS:
                continue
            sums = np.bincount(number[inside], surplus[inside], rounds) * scale
            error = float(sums.std(ddof=1) / np.sqrt(rounds))
            leaves = left[inside]
            leaves = leaves[np.isfinite(leaves)]
            further = len(leaves) > 1 and bool(
                leaves.mean() < -_SURE_OF_LEAVES * leaves.std() / np.sqrt(len(leaves))
            )
            found.append(Surplus((low, high, word), float(sums.mean()), error, further))
    return found


@dataclass(frozen=True)
class Shape:
    """What players gain by place beyond what their own strokes would: where the model is wrong.

    Attributes
    ----------
    by_place : dict of (float, float)
        Strokes a round and their standard error; elsewhere the model is taken for right.
    players : dict of int
        Behind each place.
    """

    by_place: Mapping[Place, tuple[float, float]] = field(default_factory=dict)
    players: Mapping[Place, int] = field(default_factory=dict)

    def at(self, place: Place) -> tuple[float, float]:
        """Strokes a round that anybody gains there, and how far that may be wrong."""
        gained, error = self.by_place.get(place, (0.0, _SHARED_DOUBT))
        return gained, float(np.hypot(error, _OWN_DOUBT))


# The rest of the doubt is shared by all players who are measured by the model.
_SHARED_DOUBT = float(np.sqrt(_DOUBT**2 - _OWN_DOUBT**2))


def shape_of(players: Iterable[Sequence[Surplus]]) -> Shape:
    """What some players have in common, drawn toward the model by how little they tell.

    Normal-normal: the model is wrong by nothing give or take :data:`_DOUBT`; players differ by
    their luck and by as much more as they do (Paule and Mandel's estimate), so that one of them
    with a departure hardly moves it.

    Parameters
    ----------
    players : iterable of sequences of Surplus
        Of :func:`surpluses`, one a player; those of few rounds are empty and count for nothing.
    """
    by_place: dict[Place, list[Surplus]] = {}
    for each in players:
        for one in each:
            by_place.setdefault(one.place, []).append(one)
    found = {}
    for place, all_of_it in by_place.items():
        gained = np.array([one.gained for one in all_of_it])
        variance = np.array([one.error**2 for one in all_of_it])
        if len(gained) > 1:
            variance = variance + max(paule_mandel(gained, variance)[1], _OWN_DOUBT**2)
        else:
            variance = variance + _SPREAD**2
        told = float((1 / variance).sum())
        doubt = 1 / (told + 1 / _SHARED_DOUBT**2)
        found[place] = (float((gained / variance).sum()) * doubt, float(np.sqrt(doubt)))
    return Shape(found, {place: len(each) for place, each in by_place.items()})


NO_SHAPE = Shape()


def departure_of(
    found: Sequence[Surplus], rounds: int, shape: Shape = NO_SHAPE
) -> Departure | None:
    """The surest departure of a player from their own stroke; None where none is sure.

    Parameters
    ----------
    found : sequence of Surplus
        The player's, of :func:`surpluses`.
    rounds : int
        Behind them.
    shape : Shape
        What other players of the archive gain beyond their strokes: it is none of this player's.
    """
    best: tuple[float, float, float, Surplus] | None = None
    for each in found:
        usual, doubt = shape.at(each.place)
        gained, error = each.gained - usual, float(np.hypot(each.error, doubt))
        if best is None or gained / error < best[0]:
            best = (gained / error, gained, error, each)
    if best is None:
        return None
    ratio, gained, error, surest = best
    lost = -gained * _SPREAD**2 / (_SPREAD**2 + error**2)
    if float(stdtr(rounds - 1, ratio)) * len(found) > _FALSE or lost < _LEAST:
        return None
    cause = "pace" if surest.further else "direction"
    players = shape.players.get(surest.place, 0)
    return Departure(*surest.place, cause, lost, error, players)


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

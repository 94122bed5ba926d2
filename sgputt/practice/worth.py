"""What a change of stroke is worth: strokes a round on the putts a player meets.

The putts are those of the player's own cards, first and later ones, as often as they come up. A
change is one step of a cause (a spread narrowed) or of a habit (halved); its worth at a putt is the
expected putts from there now less those with the changed stroke for this one putt, the rest of the
hole as before. To first order the sum over all putts is what the change would bring a round.

What a drill is worth follows from that: see :func:`drill_worths`. Nobody has measured what a drill
brings: a step is this project's yardstick, not a promise, until an archive says what practice has
brought there (:mod:`sgputt.practice.brought`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.sparse import csr_array

from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.practice.brought import MeasuredSteps
from sgputt.practice.drills import Drill
from sgputt.practice.marks import KnownStroke, habit_word
from sgputt.practice.scoring import BREAKS, SLOPES
from sgputt.stroke.expected import expected_grid, next_putts
from sgputt.stroke.outcomes import (
    LENGTHS_FT,
    Delivered,
    Outcomes,
    Shares,
    kept_places,
    roll_shares,
    side_shares,
)
from sgputt.stroke.player import (
    FAST_STIMP_FT,
    HABIT_STEP,
    HABITS,
    OF_THE_ROLL,
    PART_OF,
    PuttingStroke,
    spread_step,
)
from sgputt.stroke.population import MEAN_GRADE, between, on_greens_of, word_weights

# Putts of a round where no card tells: lengths in feet and how many. Common practice, no source.
_USUAL_PUTTS = (
    (2.0, 9.0),
    (3.0, 3.0),
    (4.0, 2.2),
    (5.0, 1.8),
    (6.5, 1.8),
    (8.0, 1.8),
    (10.0, 1.8),
    (13.0, 1.8),
    (17.0, 2.2),
    (22.0, 2.0),
    (30.0, 2.4),
    (40.0, 1.2),
    (55.0, 0.5),
)
# Speeds at which usual and fast greens are worked out, feet; both are nodes of the kept tables.
_SPEEDS_FT = (USUAL_STIMP_FT, 12.0)
_SHORTEST_FT, _LONGEST_FT = float(LENGTHS_FT[0]), float(LENGTHS_FT[-1])
_LENGTH_DIGITS = 3
# A change is tried at the most likely stroke and to both sides of it, this many standard errors or
# this share of a habit away; in between a parabola does.
_ERRORS_TRIED = 1.8
_HABIT_TRIED = 0.6
_LEAST_TRIED = 0.16
_LEAST_WEIGHT = 2e-4


@dataclass(frozen=True)
class MetPutts:
    """Putts as a player meets them, kinds of one description; n kinds.

    Attributes
    ----------
    length_ft : ndarray, shape (n,)
    slope, turn : ndarray of int, shape (n,)
        Codes into :data:`SLOPES` and :data:`BREAKS`. A word that was not written is shared out
        among the words as often as each is met.
    fast : ndarray of bool, shape (n,)
        On fast greens.
    per_round : ndarray, shape (n,)
        How often, a round of 18 holes.
    grade : float
        Mean grade of the greens, rise over run.
    """

    length_ft: Array
    slope: NDArray[np.intp]
    turn: NDArray[np.intp]
    fast: NDArray[np.bool_]
    per_round: Array
    grade: float = MEAN_GRADE

    def trained_by(self, drill: Drill) -> Array:
        """1 for the kinds among those a drill trains, else 0; shape (n,)."""
        trained = np.zeros(len(self.length_ft), dtype=bool)
        for each in drill.trains:
            length = (each.low_ft < self.length_ft) & (self.length_ft <= each.high_ft)
            slope = np.isin(self.slope, [SLOPES.index(word) for word in each.slopes])
            turn = np.isin(self.turn, [BREAKS.index(word) for word in each.breaks])
            trained |= length & slope & turn
        return trained.astype(np.float64)


def met_putts(putts: pl.DataFrame, holes: int) -> MetPutts:
    """Gather the putts of some rounds.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    holes : int
        Holes played, those without a putt too.
    """
    kinds = (
        putts.filter(
            (pl.col("surface") == "green")
            & (pl.col("result") != "conceded")
            & pl.col("distance_ft").is_not_null()
        )
        .select(
            pl.col("distance_ft").clip(_SHORTEST_FT, _LONGEST_FT).round_sig_figs(_LENGTH_DIGITS),
            pl.col("slope").cast(pl.String),
            pl.col("break").cast(pl.String),
            (pl.col("stimp_ft").fill_null(USUAL_STIMP_FT) >= FAST_STIMP_FT).alias("fast"),
        )
        .group_by(pl.all(), maintain_order=True)
        .len("many")
        .sort(pl.all())
    )
    total = word_weights(USUAL_STIMP_FT).sum(axis=3)
    rows: dict[tuple[float, int, int, bool], float] = {}
    for length, slope, turn, fast, many in kinds.iter_rows():
        at = int(np.abs(np.log(LENGTHS_FT) - np.log(length)).argmin())
        slopes = [SLOPES.index(slope)] if slope in SLOPES else range(len(SLOPES))
        turns = [BREAKS.index(turn)] if turn in BREAKS else range(len(BREAKS))
        fits = {(s, b): float(total[at, s, b]) for s in slopes for b in turns}
        whole = sum(fits.values())
        for (s, b), fit in fits.items():
            key = (length, s, b, fast)
            rows[key] = rows.get(key, 0.0) + many * fit / whole
    lengths, slope_codes, turn_codes, fasts = zip(*rows, strict=True) if rows else ((),) * 4
    return MetPutts(
        np.array(lengths, dtype=np.float64),
        np.array(slope_codes, dtype=np.intp),
        np.array(turn_codes, dtype=np.intp),
        np.array(fasts, dtype=np.bool_),
        np.array(list(rows.values())) * HOLES_IN_A_ROUND / max(holes, 1),
    )


def usual_putts() -> MetPutts:
    """Putts of a usual round, for players whose own are not known."""
    frame = pl.DataFrame(
        {
            "distance_ft": [length for length, _ in _USUAL_PUTTS],
            "surface": "green",
            "result": "holed",
            "slope": "unknown",
            "break": "unknown",
            "stimp_ft": USUAL_STIMP_FT,
        }
    )
    met = met_putts(frame, HOLES_IN_A_ROUND)
    often = dict(_USUAL_PUTTS)
    return replace(met, per_round=met.per_round * [often[float(x)] for x in met.length_ft])


@dataclass(frozen=True)
class Step:
    """A change worth trying.

    Attributes
    ----------
    part : str
        Field of :class:`PuttingStroke` that changes.
    factor : float
        What it is multiplied by, whatever its true size.
    """

    part: str
    factor: float


def steps_of(
    known: KnownStroke,
    towards: PuttingStroke | None = None,
    measured: MeasuredSteps | None = None,
) -> list[Step]:
    """One step of each cause and habit, or all the way to a named stroke.

    Parameters
    ----------
    known : KnownStroke
    towards : PuttingStroke, optional
        Where the yardstick is another's stroke instead of one step better than the own.
    measured : MeasuredSteps, optional
        What practice has brought in this archive, in place of the assumed step.
    """
    own = known.best
    if towards is None:
        parts = (*PART_OF.values(), *HABITS)
        return [Step(part, step_factor(own, part, measured)) for part in parts]
    ways = [(part, getattr(towards, part) / getattr(own, part)) for part in PART_OF.values()]
    return [Step(part, min(float(way), 1.0)) for part, way in ways] + [
        Step(part, 0.0) for part in HABITS
    ]


def step_factor(own: PuttingStroke, part: str, measured: MeasuredSteps | None = None) -> float:
    """Factor by which one step changes a spread, a habit or a departure.

    Parameters
    ----------
    own : PuttingStroke
    part : str
        Field of the stroke; anything else is turned like a habit.
    measured : MeasuredSteps, optional
        What practice has brought, as multiples of the assumed step; that unless given.
    """
    many = 1.0 if measured is None else measured.multiple(part)
    if part in PART_OF.values():
        return float(spread_step(own, part) ** many)
    return max(1 - many * (1 - HABIT_STEP), 0.0)


def worth_of_steps(known: KnownStroke, steps: Sequence[Step], met: MetPutts) -> dict[str, Array]:
    """Strokes a round that each step is worth at each kind of putt.

    Parameters
    ----------
    known : KnownStroke
    steps : sequence of Step
    met : MetPutts

    Returns
    -------
    dict of ndarray, shape (strokes, kinds)
        By part: for every stroke that may be the player's.
    """
    table = _ChangeTable(known.best, met)
    strokes = known.strokes or (known.best,)
    found = {}
    for step in steps:
        if step.factor == 1.0:
            found[step.part] = np.zeros((len(strokes), len(met.per_round)))
            continue
        values = np.array([getattr(each, step.part) for each in strokes])
        if step.part in PART_OF.values():
            at, now = np.log(getattr(known.best, step.part)), np.log(values)
            then = now + np.log(step.factor)
            reach = max(_ERRORS_TRIED * float(now.std()), _LEAST_TRIED, abs(float((then - now)[0])))
            tried = [np.exp(at + way * reach) for way in (-1, 0, 1)]
        else:
            at, now = getattr(known.best, step.part), values
            then = now * step.factor
            reach = max(_ERRORS_TRIED * float(now.std()), _HABIT_TRIED * abs(at), 1e-3)
            tried = [at + way * reach for way in (-1, 0, 1)]
        low, middle, high = (table.expected(step.part, float(each)) for each in tried)
        bend, tilt = (low + high) / 2 - middle, (high - low) / 2
        x, y = (now[:, None] - at) / reach, (then[:, None] - at) / reach
        found[step.part] = (bend * (x**2 - y**2) + tilt * (x - y)) * met.per_round
    return found


@dataclass(frozen=True)
class _AtSpeed:
    """Putts met at one green speed: places that matter, and how often each kind is there.

    Attributes
    ----------
    rows : ndarray of int, shape (k,)
        Which kinds of putt.
    places : Outcomes
        p places.
    weights : csr_array, shape (k, p)
        Each kind's share of the places.
    after : ndarray, shape (p, u, 2, a)
        Mean putts from where a miss stops.
    sides : tuple of two ndarrays
        Where the unchanged stroke's balls go beside the window.
    """

    rows: NDArray[np.intp]
    places: Outcomes
    weights: csr_array
    after: Array
    sides: tuple[Array, Array]


class _ChangeTable:
    """Expected putts from each kind of putt when this one putt is played by a changed stroke."""

    def __init__(self, best: PuttingStroke, met: MetPutts) -> None:
        self.best = best
        self.many = len(met.per_round)
        self.speeds = [
            self._at_speed(speed, met, np.flatnonzero(which))
            for speed, which in zip(_SPEEDS_FT, (~met.fast, met.fast), strict=True)
            if which.any()
        ]
        self.kept: dict[tuple[str, float], Array] = {}

    def _at_speed(self, speed: float, met: MetPutts, rows: NDArray[np.intp]) -> _AtSpeed:
        weights = word_weights(speed) * on_greens_of(met.grade)
        greens = weights.shape[3]
        low, share = between(met.length_ft[rows], LENGTHS_FT, log=True)
        near, index = [], []
        for length, part in ((low, 1 - share), (low + 1, share)):
            words = weights[length, met.slope[rows], met.turn[rows]]
            near.append(part[:, None] * words / words.sum(axis=1, keepdims=True))
            index.append(length[:, None] * greens + np.arange(greens))
        # A kind of putt lies between two lengths, so that it is on few of all places.
        starts = np.arange(len(rows) + 1) * 2 * greens
        flat = csr_array(
            (np.hstack(near).ravel(), np.hstack(index).ravel(), starts),
            shape=(len(rows), len(LENGTHS_FT) * greens),
        )
        met_there = met.per_round[rows] @ flat
        matter = met_there > _LEAST_WEIGHT * met_there.sum()
        # A kind of putt met once may have no place that matters: then its own ones do.
        alone = (flat @ matter) == 0
        matter |= (alone @ flat) > 0
        used = np.flatnonzero(matter)
        value = expected_grid(self.best, speed).by_place.ravel()
        there = kept_places(speed)
        after = (next_putts(speed) @ value).reshape(there.miss_angle.shape)[used]
        kept = flat[:, used]
        kept = kept.multiply(1 / kept.sum(axis=1)[:, None]).tocsr()
        places = there.take(used)
        return _AtSpeed(rows, places, kept, after, _sides(places, self.best.send(places)))

    def expected(self, part: str, value: float) -> Array:
        """Mean putts of each kind with one part of the stroke at another value."""
        key = (part, value)
        if value == getattr(self.best, part):
            key = ("", 0.0)
        if key not in self.kept:
            stroke = replace(self.best, **{part: value})
            found = np.zeros(self.many)
            for at in self.speeds:
                sent = stroke.send(at.places)
                sides = at.sides if part in OF_THE_ROLL else _sides(at.places, sent)
                ends = Shares(roll_shares(at.places, sent), *sides)
                found[at.rows] = at.weights @ (1 + ends.over_misses(at.after))
            self.kept[key] = found
        return self.kept[key]


def _sides(places: Outcomes, sent: Delivered) -> tuple[Array, Array]:
    return side_shares(places, sent.angle, sent.angle_spread)


def drill_worths(
    drills: Sequence[Drill],
    met: MetPutts,
    worth: Mapping[str, Array],
    strokes: Sequence[PuttingStroke],
    gate_share: float = 1.0,
) -> dict[str, dict[str, Array]]:
    """What each drill is worth by what it works on: strokes a round for each stroke.

    A drill's causes share its work evenly: one that works on two brings half a step of each. It
    turns a habit that it names, wholly: of the strokes that may be the player's those that have it.
    Both for the putts it trains alone.

    Parameters
    ----------
    drills : sequence of Drill
    met : MetPutts
    worth : mapping of str to ndarray, shape (strokes, kinds)
        From :func:`worth_of_steps`.
    strokes : sequence of PuttingStroke
        Those that may be the player's, in the order of ``worth``.
    gate_share : float
        Part of the direction that is start line, for gates; 1 where it is not known.

    Returns
    -------
    dict of dict of ndarray, shape (strokes,)
        By the drill's id and the part.
    """
    words = {
        part: np.array([habit_word(part, getattr(stroke, part)) for stroke in strokes])
        for part in HABITS
        if part in worth
    }
    found = {}
    for drill in drills:
        trained = met.trained_by(drill)
        parts: dict[str, Array] = {}
        for cause in drill.cause:
            share = 1 / len(drill.cause)
            if cause == "direction" and drill.kind == "gate":
                share *= gate_share
            parts[PART_OF[cause]] = share * (worth[PART_OF[cause]] @ trained)
        for part, word in words.items():
            turned = np.isin(word, drill.habits)
            if turned.any():
                parts[part] = turned * (worth[part] @ trained)
        found[drill.id] = parts
    return found

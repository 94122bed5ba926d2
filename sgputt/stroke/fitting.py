"""A player's stroke in its causes, fitted to makes, leaves, short or past, and sides.

Penalised likelihood: for each putt the chance of what was written of it, summed over all greens
that fit the card's words (:mod:`sgputt.stroke.population`). The outcome of a ball does not depend
on the player, so tables of it are kept (:mod:`sgputt.stroke.outcomes`) and a stroke only weighs
them; the weights are differences of normal integrals with simple derivatives, so that the fit goes
by scoring: a few steps with exact gradients and the information of the putts' own scores.

The chance of a putt between two lengths or speeds of the tables lies between theirs. Putts alike at
a node share its sums, so that a long archive costs hardly more than a short one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cache
from itertools import chain

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.sparse import csc_array, csr_array
from scipy.special import ndtr, ndtri

from sgputt.errors import TooFewError
from sgputt.physics.read import INCHES_A_FOOT
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.putts.table import BREAKS, PACES, ROUND_KEY, SIDES, SLOPES
from sgputt.stroke.explanations import Explained, explain
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    STIMPS_FT,
    Delivered,
    Outcomes,
    beside_window,
    between_edges,
    kept_places,
    shares,
)
from sgputt.stroke.player import (
    FAST_STIMP_FT,
    HABITS,
    SPREADS,
    TOUR_STROKE,
    PuttingStroke,
    pace_factor,
    slope_shares,
)
from sgputt.stroke.population import (
    MEAN_GRADE,
    between,
    grade_fit,
    on_greens_of,
    ways_of_calling,
    word_weights,
)
from sgputt.wording import plural

LEVEL = 0.90
FEWEST_PUTTS = 60
FEWEST_MISSES = 15
NAMES = SPREADS + HABITS
# What is fitted beside the stroke: how much steeper the greens are than usual, in the logarithm of
# the mean grade, and the share of written sides that mean where the ball passed.
_STEEPER, _PASSED = len(NAMES), len(NAMES) + 1
# What is taken for likely before any putt: spreads within this of the parent's, in their logarithm,
# and habits within this of none. Assumptions: amateurs' spreads are half as large again as the
# tour's; few habits of the read exceed half of the break.
SPREAD_DOUBT = (0.4, 0.5, 0.35)
# How far off the model itself may have a spread, in its logarithm: of invented players on greens as
# believed pace is found 5 % low, and without it the intervals held the truth in 77 to 80 of 100.
MODEL_SPREAD_DOUBT = 0.04
READ_HABIT_DOUBT, READ_SIDES_DOUBT = 0.35, 0.25
LEFT_DOUBT_DEG = 0.7
PACE_DOUBT, PACE_WHERE_DOUBT = 0.08, 0.06
# Whether a written side means where the ball passed the hole or where it stopped, nobody says.
PASSED_DOUBT = 0.5
# The mean grade of the greens that a player meets, within this of the stated one in its logarithm.
GRADE_DOUBT = 0.3
# Slips of the pencil: sides and paces written wrongly, and leaves that may be anything, then
# exponential about 2 ft and a quarter of the length. Assumptions.
WRONG_SIDE, WRONG_PACE = 0.03, 0.03
STRAY_SHARE, STRAY_LEAST_FT, STRAY_LENGTH_SHARE = 0.01, 2.0, 0.25
# A break that was played is written to within so many inches at the hole. An assumption.
_AIM_DOUBT_IN = 1.0
# Nodes of the leaves: finer than a foot near the hole, then by a tenth of the leave.
_LEAVES_FT: Array = np.concatenate([np.arange(0.2, 2.0, 0.2), 2.0 * 1.1 ** np.arange(34)])
_STEPS_FT = (1.0, 0.5, 0.25)
# Leaves above so many feet are taken in steps of so many.
_COARSE_FT = ((0.0, 0.2), (3.0, 0.5), (8.0, 1.0), (20.0, 2.0))
_WHOLE, _NEARLY_ALL = 0.02, 0.9
_FAST_NODE_FT = float(STIMPS_FT[STIMPS_FT >= FAST_STIMP_FT][0])
_A_PLANE = len(GRADES) * len(ALL_DIRECTIONS)
# Kinds of end of a miss: short or past, the side it passed on, the side it stopped on, the leave.
_KINDS = 2 * 2 * 2 * len(_LEAVES_FT)
_MOST_STEPS = 25
_LONGEST_STEP = 0.7
_CLOSE = 5e-3
# Rounds that the plain information of the putts counts for beside the spread between rounds.
_ROUNDS_OF_DOUBT = 10
_TINY = 1e-300
# A share of the penalty that only what no putt speaks of can feel.
_HARDLY = 1e-3


@dataclass(frozen=True)
class FittedStroke:
    """A stroke with its uncertainty.

    Attributes
    ----------
    stroke : PuttingStroke
        The mean of what the putts leave possible.
    values : ndarray, shape (10,)
        :data:`NAMES` in order, the spreads as logarithms.
    covariance : ndarray, shape (10, 10)
        Of ``values``: the curvature, widened where rounds differ more than putts alone would make
        them (days and courses), by not knowing which habits there are, and by what the model itself
        leaves open of a spread.
    explained : Explained
        Which habits explain the putts; what was fitted beside the stroke stands behind ``NAMES``.
    uphill_share, downhill_share : float
        How far a habit uphill (downhill) acts on the putts called so, in the mean: a slope hardly
        to be seen counts in part.
    putts, misses, leaves, rounds : int
        Putts used, misses among them, misses with a known leave, and rounds.
    sides, paces, breaks : int
        Putts with a word for the side, for short or past, and for the break.
    passed : float
        Share of the written sides that mean where a ball passed the hole, the rest where it
        stopped: the two are parted by how misses of different leaves were written.
    grade : float
        Mean grade of the greens, rise over run, that makes these putts most likely: learnt beside
        the stroke, so that steeper greens are not taken for a habit of the read.
    level : float
        Coverage of the intervals.
    """

    stroke: PuttingStroke
    values: Array
    covariance: Array
    explained: Explained
    uphill_share: float
    downhill_share: float
    putts: int
    misses: int
    leaves: int
    rounds: int
    sides: int
    paces: int
    breaks: int
    passed: float
    grade: float = MEAN_GRADE
    level: float = LEVEL

    def error(self, name: str) -> float:
        """Standard error of a part or habit; of a spread, as a share of it."""
        at = NAMES.index(name)
        return float(np.sqrt(self.covariance[at, at]))

    def interval(self, name: str) -> tuple[float, float]:
        """Interval of a part or habit at ``level``."""
        at = NAMES.index(name)
        reach = float(ndtri((1 + self.level) / 2)) * self.error(name)
        low, high = self.values[at] - reach, self.values[at] + reach
        if name in SPREADS:
            return float(np.exp(low)), float(np.exp(high))
        return float(low), float(high)

    def draws(self, count: int, seed: int = 1) -> list[PuttingStroke]:
        """Strokes that the putts leave possible."""
        rng = np.random.default_rng(seed)
        # Drawn in pairs about the most likely, so that few draws have its mean.
        half = rng.multivariate_normal(np.zeros(len(NAMES)), self.covariance, (count + 1) // 2)
        off = np.concatenate([half, -half])[:count]
        return [stroke_of(self.values + each, self.stroke) for each in off]


def stroke_of(values: Array, like: PuttingStroke = TOUR_STROKE) -> PuttingStroke:
    """The stroke with these values of :data:`NAMES`, its meant pace as ``like``."""
    spreads = np.exp(values[: len(SPREADS)])
    habits = values[len(SPREADS) : len(NAMES)]
    each = dict(zip(NAMES, [*spreads.tolist(), *habits.tolist()], strict=True))
    rest = {f.name: getattr(like, f.name) for f in fields(like) if f.name not in NAMES}
    return PuttingStroke(**each, **rest)


def values_of(stroke: PuttingStroke) -> Array:
    """Values of :data:`NAMES`, the spreads as logarithms."""
    found = np.array([getattr(stroke, name) for name in NAMES], dtype=np.float64)
    found[: len(SPREADS)] = np.log(found[: len(SPREADS)])
    return found


@dataclass(frozen=True)
class AtNode:
    """Kinds of observation at one node of the lengths and the green speeds.

    Attributes
    ----------
    length : int
        Node of the lengths.
    rows : ndarray of int, shape (m,)
        Which of all kinds.
    word, outcome : ndarray of int, shape (m,)
        Which description and which outcome below each is.
    greens : ndarray, shape (d, places)
        The greens that fit each description.
    slope : ndarray of int, shape (d,)
        Code of its slope.
    aimed : ndarray, shape (d,)
        Break that was played, radians left of the hole; nan where none is written.
    holed : ndarray, shape (o,)
        1 for the outcome of a putt that dropped, else 0.
    by_pass, by_stop : ndarray, shape (kinds of misses, o)
        Chance of each outcome given where the ball went, were its side the one the ball passed on,
        and the one it stopped on.
    """

    length: int
    rows: NDArray[np.intp]
    word: NDArray[np.intp]
    outcome: NDArray[np.intp]
    greens: Array
    slope: NDArray[np.intp]
    aimed: Array
    holed: Array
    by_pass: Array
    by_stop: Array

    def kinds(self, passed: float) -> Array:
        """Chance of each outcome for a share of sides that mean the one the ball passed on."""
        return passed * self.by_pass + (1 - passed) * self.by_stop

    def on_greens(self, more: Array) -> Array:
        """The greens where each place is met so much oftener, adding to 1; shape (d, places)."""
        greens = self.greens * more
        return np.asarray(greens / greens.sum(axis=1, keepdims=True))


@dataclass(frozen=True)
class Seen:
    """Putts as the likelihood needs them: kinds of observation with their counts.

    Attributes
    ----------
    nodes : dict of list of AtNode
        By node of green speed: the kinds, by length.
    count : ndarray, shape (n,)
        Putts of each kind; parts of a putt count at neighbouring nodes.
    stray : ndarray, shape (n,)
        Chance of the written leave were it a slip.
    by_putt : csr_array, shape (putts, n)
        Which kinds each putt counts as, in part or whole; rows in the order of ``rows``.
    rows : polars.DataFrame
        The putts that count, with the columns of the putts table and ``number`` of their round.
    putts, misses, leaves, sides, paces, breaks : int
        As in :class:`FittedStroke`.
    """

    nodes: dict[int, list[AtNode]]
    count: Array
    stray: Array
    by_putt: csr_array
    rows: pl.DataFrame
    putts: int
    misses: int
    leaves: int
    sides: int
    paces: int
    breaks: int


def fit_putting_stroke(
    putts: pl.DataFrame,
    parent: PuttingStroke = TOUR_STROKE,
    level: float = LEVEL,
    any_number: bool = False,
) -> FittedStroke:
    """Fit one player's stroke.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    parent : PuttingStroke
        Toward whose spreads the fit is drawn; its meant pace is kept.
    level : float
        Coverage of the intervals.
    any_number : bool
        Fit however few putts there are: the fewer, the nearer to the parent.

    Raises
    ------
    TooFewError
        Fewer than 60 putts or 15 misses, unless ``any_number``.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> fit = sgputt.fit_putting_stroke(demo_season())
    >>> fit.rounds
    24
    """
    seen = seen_putts(putts)
    if not any_number and (seen.putts < FEWEST_PUTTS or seen.misses < FEWEST_MISSES):
        raise TooFewError(
            "Too few putts to fit a stroke:"
            f" {plural(seen.putts, 'putt')}, {plural(seen.misses, 'miss', 'misses')}.",
            f"It takes {FEWEST_PUTTS} putts with {FEWEST_MISSES} misses, two to three rounds.",
        )
    centre = np.concatenate([values_of(parent), [0.0, 0.5]])
    centre[len(SPREADS) : len(NAMES)] = 0.0
    values = centre
    if len(seen.nodes) > 1:
        # Most of the way on greens of one speed, which is several times as quick.
        usual = putts.with_columns(pl.lit(None, dtype=pl.Float64).alias("stimp_ft"))
        values, _, _ = _search(seen_putts(usual), values, parent, centre)
    values, scores, curvature = _search(seen, values, parent, centre)
    explained = _explained(seen, values, scores, curvature, centre)
    found = explained.values
    covariance = explained.covariance[: len(NAMES), : len(NAMES)].copy()
    covariance[range(len(SPREADS)), range(len(SPREADS))] += MODEL_SPREAD_DOUBT**2
    uphill, downhill = _slopes_felt(seen, float(found[_STEEPER]))
    return FittedStroke(
        stroke_of(found, parent),
        found[: len(NAMES)],
        covariance,
        explained,
        uphill,
        downhill,
        seen.putts,
        seen.misses,
        seen.leaves,
        seen.rows["number"].n_unique(),
        seen.sides,
        seen.paces,
        seen.breaks,
        float(values[_PASSED]),
        MEAN_GRADE * float(np.exp(found[_STEEPER])),
        level,
    )


def _search(
    seen: Seen, values: Array, parent: PuttingStroke, centre: Array
) -> tuple[Array, Array, Array]:
    """Most likely values, with the scores and the curvature there."""
    precision = _precision()
    total, scores, curvature = _step_at(seen, values, parent, centre, precision)
    for _ in range(_MOST_STEPS):
        slope = scores.sum(axis=0) - precision @ (values - centre)
        step = np.zeros_like(slope)
        # The share of sides stays between 0 and 1: held at an end that it would leave.
        held = (values[-1] >= 1 and slope[-1] > 0) or (values[-1] <= 0 and slope[-1] < 0)
        free = slice(0, -1) if held else slice(None)
        step[free] = np.linalg.solve(curvature[free, free], slope[free])
        if slope @ step < _CLOSE:
            break
        step = step / max(1.0, float(np.abs(step).max()) / _LONGEST_STEP)
        for _ in range(6):
            there = values + step
            there[-1] = min(max(there[-1], 0.0), 1.0)
            after = _step_at(seen, there, parent, centre, precision)
            if after[0] >= total - _CLOSE:
                break
            step = step / 3
        gained = after[0] - total
        values, (total, scores, curvature) = there, after
        if gained < _CLOSE:
            break
    return values, scores, curvature


def _precision() -> Array:
    """Inverse covariance of what is taken for likely before any putt."""
    covariance = np.zeros((_PASSED + 1, _PASSED + 1))
    covariance[_STEEPER, _STEEPER] = GRADE_DOUBT**2
    covariance[_PASSED, _PASSED] = PASSED_DOUBT**2
    at = {name: place for place, name in enumerate(NAMES)}
    for name, doubt in zip(SPREADS, SPREAD_DOUBT, strict=True):
        covariance[at[name], at[name]] = doubt**2
    sides = [at["less_left_to_right"], at["less_right_to_left"]]
    covariance[np.ix_(sides, sides)] = READ_HABIT_DOUBT**2
    covariance[sides, sides] += READ_SIDES_DOUBT**2
    covariance[at["left_deg"], at["left_deg"]] = LEFT_DOUBT_DEG**2
    covariance[at["long"], at["long"]] = PACE_DOUBT**2
    for name in ("long_uphill", "long_downhill", "long_fast"):
        covariance[at[name], at[name]] = PACE_WHERE_DOUBT**2
    return np.asarray(np.linalg.inv(covariance), dtype=np.float64)


def _step_at(
    seen: Seen, values: Array, parent: PuttingStroke, centre: Array, precision: Array
) -> tuple[float, Array, Array]:
    """Penalised log likelihood, scores of every putt, and the curvature."""
    at_nodes, slopes = _chances(
        seen, stroke_of(values, parent), float(values[_STEEPER]), float(values[_PASSED])
    )
    # A putt between two nodes is one of the outcomes halfway between theirs, in its share.
    chance = seen.by_putt @ at_nodes
    scores = (seen.by_putt @ slopes) / chance[:, None]
    off = values - centre
    total = float(np.log(chance).sum()) - float(off @ precision @ off) / 2
    return total, scores, scores.T @ scores + precision


def _explained(
    seen: Seen, values: Array, scores: Array, curvature: Array, centre: Array
) -> Explained:
    """Which habits explain the putts, from the likelihood about the most likely values."""
    precision = _precision()
    wider = _wider(seen, scores, curvature)
    information = (curvature - precision) / np.outer(wider, wider)
    # At the most likely values the likelihood's slope is that of the penalty: its own peak lies
    # further on. What no putt says anything of stays at the centre.
    slope = precision @ (values - centre)
    held = information + _HARDLY * precision
    peak = np.linalg.solve(held, information @ values + slope + _HARDLY * precision @ centre)
    return explain(peak.astype(np.float64), np.asarray(information), centre, precision, NAMES)


def _wider(seen: Seen, scores: Array, curvature: Array) -> Array:
    """How much less sure each value is than the putts alone say, for the rounds' scores differ."""
    if not seen.putts:
        return np.ones(scores.shape[1])
    inverse = np.linalg.inv(curvature)
    number = seen.rows["number"].to_numpy()
    rounds = np.zeros((int(number.max()) + 1, scores.shape[1]))
    np.add.at(rounds, number, scores)
    count = len(rounds)
    centred = rounds - rounds.mean(axis=0)
    between_rounds = inverse @ (centred.T @ centred) @ inverse * (count / max(count - 1, 1))
    between_putts = inverse @ (scores.T @ scores) @ inverse
    ratio = np.diag(between_rounds) / np.maximum(np.diag(between_putts), _TINY)
    share = count / (count + _ROUNDS_OF_DOUBT)
    return np.asarray(np.sqrt(np.maximum(1 + share * (ratio - 1), 1.0)), dtype=np.float64)


def _slopes_felt(seen: Seen, steeper: float) -> tuple[float, float]:
    """How far putts called uphill count as uphill, and those called downhill as downhill."""
    more = on_greens_of(MEAN_GRADE * np.exp(steeper))
    downward = np.outer(GRADES, np.cos(ALL_DIRECTIONS)).ravel()
    found = []
    for word, counts in zip(("uphill", "downhill"), slope_shares(downward), strict=True):
        code = SLOPES.index(word)
        felt, putts = 0.0, 0.0
        for node in chain(*seen.nodes.values()):
            called = node.slope[node.word] == code
            count = seen.count[node.rows[called]]
            felt += float(count @ (node.on_greens(more) @ counts)[node.word[called]])
            putts += float(count.sum())
        found.append(felt / putts if putts else 1.0)
    return found[0], found[1]


def _chances(
    seen: Seen, stroke: PuttingStroke, steeper: float, passed: float
) -> tuple[Array, Array]:
    """Chance of every kind of putt and its derivatives by :data:`NAMES`, ``steeper``, ``passed``.

    ``steeper`` is the logarithm of the greens' mean grade over the stated one; ``passed`` the share
    of written sides that mean where the ball passed, not where it stopped.
    """
    chance = np.empty(len(seen.count))
    slopes = np.empty((len(seen.count), _PASSED + 1))
    more, by_steeper = on_greens_of(MEAN_GRADE * np.exp(steeper)), _change_by_steeper(steeper)
    for speed, nodes in seen.nodes.items():
        by_place, acts, aims = _by_place(stroke, float(STIMPS_FT[speed]), nodes, passed)
        for node, ends, act, aim in zip(nodes, by_place, acts, aims, strict=True):
            each = node.word, node.outcome
            fit = node.on_greens(more)
            by_fit = by_steeper - (fit @ by_steeper)[:, None]
            narrower, changes = _fit_of_aims(stroke, aim, node.aimed, node.length)
            fit *= narrower
            chance[node.rows] = (fit @ ends[0])[each]
            for name in range(len(NAMES)):
                slopes[node.rows, name] = ((fit * act[name]) @ ends[1 + _ACTS_ON[name]])[each]
            for name, change in changes.items():
                slopes[node.rows, name] += ((fit * change) @ ends[0])[each]
            by_fit *= fit
            slopes[node.rows, _STEEPER] = (by_fit @ ends[0])[each]
            slopes[node.rows, _PASSED] = (fit @ ends[-1])[each]
    keep = np.where(seen.stray > 0, 1 - STRAY_SHARE, 1.0)
    return np.maximum(chance * keep + STRAY_SHARE * seen.stray, _TINY), slopes * keep[:, None]


def _fit_of_aims(
    stroke: PuttingStroke, aim: Array, aimed: Array, length: int
) -> tuple[Array, dict[int, Array]]:
    """How well greens fit the breaks that were played, and the changes of its logarithm.

    What is played is the perfect aim (places,) with this player's habits and spread of the read, to
    within an inch at the hole; where nothing is written (nan) every green fits.

    Returns
    -------
    fit : ndarray, shape (n, places)
    changes : dict of ndarray
        By place in :data:`NAMES`, of the same shape.
    """
    if not np.isfinite(aimed).any():
        return np.ones((len(aimed), 1)), {}
    left_to_right = np.tile(ALL_DIRECTIONS >= 0, len(GRADES))
    less = np.where(left_to_right, stroke.less_left_to_right, stroke.less_right_to_left)
    inch = _AIM_DOUBT_IN / INCHES_A_FOOT / LENGTHS_FT[length]
    spread = np.hypot(stroke.read * aim, inch)
    off = (np.where(np.isfinite(aimed)[:, None], aimed[:, None], 0.0) - aim * (1 - less)) / spread
    known = np.isfinite(aimed)[:, None]
    fit = np.where(known, np.exp(-(off**2) / 2) * (inch / spread), 1.0)
    by_less = np.where(known, -off * aim / spread, 0.0)
    by_read = np.where(known, (off**2 - 1) * (stroke.read * aim / spread) ** 2, 0.0)
    return fit, {
        NAMES.index("read"): by_read,
        NAMES.index("less_left_to_right"): by_less * left_to_right,
        NAMES.index("less_right_to_left"): by_less * ~left_to_right,
    }


def _change_by_steeper(steeper: float) -> Array:
    """Derivative by ``steeper`` of the logarithm of how often each place is met, shape (60,)."""
    step = 1e-4
    less, more = (np.log(on_greens_of(MEAN_GRADE * np.exp(steeper + off))) for off in (-step, step))
    return np.asarray((more - less) / (2 * step))


# Each part or habit acts on one of: angle (0), its spread (1), roll (2), its spread (3).
_ACTS_ON = (1, 1, 3, 0, 0, 0, 2, 2, 2, 2)


def _by_place(
    stroke: PuttingStroke, stimp_ft: float, nodes: Sequence[AtNode], passed: float
) -> tuple[list[Array], Array, Array]:
    """Chances of outcomes at every place with their derivatives, and what the parts do to these.

    Returns
    -------
    found : list of ndarray, shape (6, places, o)
        By node: the chances, then their derivatives by angle, its spread, roll, its spread and by
        ``passed``.
    acts : ndarray, shape (nodes, 10, places)
        Derivative by :data:`NAMES` of what each acts on.
    aims : ndarray, shape (nodes, places)
        Perfect aim for the meant pace, radians.
    """
    places, kinds_of = _tables(stimp_ft, tuple(node.length for node in nodes))
    sent = stroke.send(places)
    roll, by_roll, by_roll_spread = _normal(
        places.edges_ft, sent.roll_ft[:, None], sent.roll_spread_ft[:, None]
    )
    rolls = np.diff(roll, axis=1)
    sides = _sides(places, sent)
    of_each = [(rolls, side) for side in sides]
    of_each += [(np.diff(each, axis=1), sides[0]) for each in (by_roll, by_roll_spread)]
    # What is not missed is holed.
    kinds = [node.kinds(passed) - node.holed for node in nodes]
    found = [np.empty((len(of_each) + 1, _A_PLANE, len(node.holed))) for node in nodes]
    cells = np.empty(sides[0].shape)
    for at, (of_roll, of_side) in enumerate(of_each):
        np.multiply(of_roll[:, :, None, None], of_side, out=cells)
        ends = (kinds_of @ cells.reshape(-1)).reshape(len(nodes), _A_PLANE, _KINDS)
        for node, each, kind, end in zip(nodes, found, kinds, ends, strict=True):
            each[at] = end @ kind
            if at == 0:
                each[at] += node.holed
                each[-1] = end @ (node.by_pass - node.by_stop)
    read = places.read(stroke.past_ft(places.length_ft))
    acts = _chain_rule(stroke, places, *read).reshape(len(NAMES), len(nodes), _A_PLANE)
    return found, acts.swapaxes(0, 1), read[0].reshape(len(nodes), _A_PLANE)


def _sides(places: Outcomes, sent: Delivered) -> tuple[Array, Array, Array]:
    """Chance of each cell beside the window, and its derivatives by angle and by its spread.

    Arrays of shape (n, u, 2, a), worked on where they lie: making one takes as long as filling it.
    """
    z = beside_window(places, sent.angle, sent.angle_spread)
    chance = ndtr(z)
    by_angle = np.square(z)
    by_angle *= -0.5
    np.exp(by_angle, out=by_angle)
    by_angle *= -(1 / sent.angle_spread)[:, None, None, None] / np.sqrt(2 * np.pi)
    by_spread = np.multiply(z, by_angle, out=z)
    by_angle[:, :, 0] *= -1
    return between_edges(chance), between_edges(by_angle), between_edges(by_spread)


def _normal(edges: Array, middle: Array, spread: Array) -> tuple[Array, Array, Array]:
    """Normal integral up to the edges and its derivatives by middle and spread."""
    z = (edges - middle) / spread
    density = np.exp(-(z**2) / 2) / (np.sqrt(2 * np.pi) * spread)
    with_z = np.where(np.isfinite(z), z, 0.0) * density
    return ndtr(z), -density, -with_z


def _chain_rule(stroke: PuttingStroke, places: Outcomes, aim: Array, roll: Array) -> Array:
    """Derivative by each of :data:`NAMES` of the one thing it acts on, shape (10, n)."""
    steady = np.radians(stroke.direction_deg)
    whole = np.hypot(steady, stroke.read * aim)
    up, down = slope_shares(places.grade * np.cos(places.direction))
    left_to_right = places.direction >= 0
    by = {
        "direction_deg": steady**2 / whole,
        "read": (stroke.read * aim) ** 2 / whole,
        "pace": roll * stroke.pace * pace_factor(places),
        "less_left_to_right": np.where(left_to_right, -aim, 0.0),
        "less_right_to_left": np.where(left_to_right, 0.0, -aim),
        "left_deg": np.full_like(aim, np.radians(1.0)),
        "long": roll,
        "long_uphill": roll * up,
        "long_downhill": roll * down,
        "long_fast": roll * (places.stimp_ft >= FAST_STIMP_FT),
    }
    return np.stack([by[name] for name in NAMES])


@cache
def _tables(stimp_ft: float, lengths: tuple[int, ...]) -> tuple[Outcomes, csc_array]:
    """Kept places of some lengths, and the matrix from their cells of misses to kinds of end."""
    rows = np.concatenate([np.arange(each * _A_PLANE, (each + 1) * _A_PLANE) for each in lengths])
    every = kept_places(stimp_ft)
    places = every.take(rows)
    past, left = (each[rows] for each in every.stops)
    low, share = between(every.leave_ft[rows], _LEAVES_FT)
    passed = np.array([0, 2], dtype=np.int32)[:, None]
    kind = (4 * (past > 0) + passed + (left < 0)) * np.int32(len(_LEAVES_FT)) + low
    kind += _KINDS * np.arange(len(rows))[:, None, None, None]
    index = np.empty((past.size, 2), dtype=np.int32)
    data = np.empty((past.size, 2))
    index[:, 0], data[:, 1] = kind.ravel(), share.ravel()
    index[:, 1], data[:, 0] = index[:, 0] + 1, 1 - data[:, 1]
    starts = np.arange(past.size + 1, dtype=np.int32) * 2
    shape = (_KINDS * len(rows), past.size)
    return places, csc_array((data.ravel(), index.ravel(), starts), shape=shape)


def seen_putts(putts: pl.DataFrame) -> Seen:
    """Putts from the green, holed or missed, of known length, gathered by kind.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table.
    """
    used = putts.filter(
        (pl.col("surface") == "green")
        & (pl.col("result") != "conceded")
        & pl.col("distance_ft").is_not_null()
    )
    missed = pl.col("result") == "missed"
    leave = pl.when(missed & (pl.col("leave_ft") > 0)).then(pl.col("leave_ft"))
    step = _step_of(used.select(leave.alias("leave"))["leave"].drop_nulls().to_numpy())
    grid = pl.lit(max(step, _COARSE_FT[0][1]))
    for above, coarse in _COARSE_FT[1:]:
        grid = pl.when(leave > above).then(max(step, coarse)).otherwise(grid)
    aimed = (pl.col("break_in") / INCHES_A_FOOT / pl.col("distance_ft")).arctan()
    kinds = used.select(
        pl.struct(ROUND_KEY).rank("dense").cast(pl.Int64).alias("number") - 1,
        pl.col("distance_ft"),
        pl.col("stimp_ft").fill_null(USUAL_STIMP_FT),
        pl.col("slope").to_physical().cast(pl.Int64),
        pl.col("break").to_physical().cast(pl.Int64).alias("bend"),
        ((pl.col("grade") / _GRADE_STEP).round() * _GRADE_STEP).alias("grade"),
        ((aimed / _AIM_STEP).round() * _AIM_STEP).alias("aimed"),
        missed.alias("missed"),
        ((leave / grid).round().clip(1) * grid).alias("leave"),
        _code("miss_pace", PACES, missed),
        # The side of a ball that stopped short is called by where it lies or by where it was going:
        # on a breaking putt these differ, so it is left out.
        _code("miss_side", SIDES, missed & ~(pl.col("miss_pace") == "short").fill_null(False)),
    )
    return _gathered(used.with_columns(kinds["number"]), kinds, step)


_GRADE_STEP = 0.005
_AIM_STEP = float(np.radians(0.2))


def _code(name: str, words: tuple[str, ...], missed: pl.Expr) -> pl.Expr:
    unknown = words.index("unknown")
    code = pl.col(name).to_physical().cast(pl.Int64).fill_null(unknown)
    return pl.when(missed).then(code).otherwise(unknown).alias(name)


def _gathered(used: pl.DataFrame, kinds: pl.DataFrame, step: float) -> Seen:
    description = ["slope", "bend", "grade", "aimed"]
    outcome = ["missed", "leave", "miss_pace", "miss_side"]
    words = kinds.select(description).unique(maintain_order=True).with_row_index("words")
    written = kinds.select(outcome).unique(maintain_order=True).with_row_index("written")
    rows = (
        kinds.with_row_index("at")
        .join(words, on=description, nulls_equal=True)
        .join(written, on=outcome, nulls_equal=True)
    )
    # Between the last usual speed and the first fast one nothing is shared: a habit on fast greens
    # would show on the others.
    speeds = rows["stimp_ft"].to_numpy()
    slow_node, fast_node = STIMPS_FT[STIMPS_FT < FAST_STIMP_FT][-1], _FAST_NODE_FT
    among = (speeds > slow_node) & (speeds < fast_node)
    speeds = np.where(among, np.where(speeds < FAST_STIMP_FT, slow_node, fast_node), speeds)
    speed, fast = between(speeds, STIMPS_FT)
    length, far = between(rows["distance_ft"].to_numpy(), LENGTHS_FT, log=True)
    parts = [
        rows.select("words", "written", "at").with_columns(
            pl.Series("speed", speed + quick),
            pl.Series("length", length + on),
            pl.Series("count", (fast if quick else 1 - fast) * (far if on else 1 - far)),
        )
        for quick in (0, 1)
        for on in (0, 1)
    ]
    whole = pl.concat(parts).filter(pl.col("count") > 1e-6)
    key = ["speed", "length", "words", "written"]
    table = whole.group_by(key).agg(pl.col("count").sum()).sort(key).with_row_index("row")
    cells = whole.join(table.select(*key, "row"), on=key)
    by_putt = csr_array(
        (cells["count"].to_numpy(), (cells["at"].to_numpy(), cells["row"].to_numpy())),
        (len(kinds), len(table)),
    )
    code = {name: table[name].to_numpy().astype(np.intp) for name in key}
    leaves = written["leave"].to_numpy()[code["written"]]
    return Seen(
        nodes=_nodes(code, words, written, _ways(kinds), step),
        count=table["count"].to_numpy(),
        stray=_stray(leaves, LENGTHS_FT[code["length"]], step),
        by_putt=by_putt,
        rows=used,
        putts=len(kinds),
        misses=int(kinds["missed"].sum()),
        leaves=int(kinds["leave"].is_not_null().sum()),
        sides=int((kinds["miss_side"] != SIDES.index("unknown")).sum()),
        paces=int((kinds["miss_pace"] != PACES.index("unknown")).sum()),
        breaks=int((kinds["bend"] != BREAKS.index("unknown")).sum()),
    )


def _nodes(
    code: dict[str, NDArray[np.intp]],
    words: pl.DataFrame,
    written: pl.DataFrame,
    ways: Array,
    step: float,
) -> dict[int, list[AtNode]]:
    """Kinds of observation by node of speed and of length; they are sorted by these."""
    by_pass, by_stop = _kinds(written, step)
    holed = 1.0 - written["missed"].to_numpy()
    slope, aimed = words["slope"].to_numpy(), words["aimed"].fill_null(np.nan).to_numpy()
    speeds = np.unique(code["speed"])
    weights = {int(speed): _fitting(words, int(speed), ways) for speed in speeds}
    found: dict[int, list[AtNode]] = {speed: [] for speed in weights}
    node = code["speed"] * len(LENGTHS_FT) + code["length"]
    for rows in np.split(np.arange(len(node)), np.flatnonzero(np.diff(node)) + 1):
        if not len(rows):
            continue
        speed, length = int(code["speed"][rows[0]]), int(code["length"][rows[0]])
        said, word = np.unique(code["words"][rows], return_inverse=True)
        ended, outcome = np.unique(code["written"][rows], return_inverse=True)
        found[speed].append(
            AtNode(
                length,
                rows,
                word,
                outcome,
                weights[speed][said, length],
                slope[said],
                aimed[said],
                holed[ended],
                by_pass[ended].T,
                by_stop[ended].T,
            )
        )
    return found


def _ways(kinds: pl.DataFrame) -> Array:
    """How the player calls slopes and breaks, from the putts with both words."""
    both = kinds.filter(
        (pl.col("slope") != SLOPES.index("unknown")) & (pl.col("bend") != BREAKS.index("unknown"))
    )
    length, far = between(both["distance_ft"].to_numpy(), LENGTHS_FT, log=True)
    slope, bend = (both[name].to_numpy() for name in ("slope", "bend"))
    counts = np.zeros((len(LENGTHS_FT), 3, 3))
    np.add.at(counts, (length, slope, bend), 1 - far)
    np.add.at(counts, (length + 1, slope, bend), far)
    return ways_of_calling(counts, USUAL_STIMP_FT)


def _fitting(words: pl.DataFrame, speed: int, ways: Array) -> Array:
    """Greens that fit each description, shape (rows, lengths, places), adding to 1."""
    all_words = word_weights(float(STIMPS_FT[speed]), ways)
    found = all_words[:, words["slope"].to_numpy(), words["bend"].to_numpy()].swapaxes(0, 1)
    grades = np.stack(
        [np.ones(_A_PLANE) if each is None else grade_fit(each) for each in words["grade"]]
    )
    found = found * grades[:, None, :]
    return np.asarray(found / found.sum(axis=2, keepdims=True), dtype=np.float64)


def _step_of(leave_ft: Array) -> float:
    """The coarsest step that nearly all leaves are whole numbers of; 0 for finer ones."""
    for step in _STEPS_FT:
        whole = np.abs(leave_ft / step - np.round(leave_ft / step)) < _WHOLE
        if len(leave_ft) and whole.mean() >= _NEARLY_ALL:
            return step
    return 0.0


def _range_of(leave_ft: Array, step: float) -> tuple[Array, Array]:
    """What a written leave stands for; nobody writes 0 for a miss, so the shortest is all below."""
    grid = np.zeros_like(leave_ft)
    for above, coarse in _COARSE_FT:
        grid = np.where(leave_ft > above, max(step, coarse), grid)
    low = np.where(leave_ft < grid * (1 + _WHOLE), 0.0, leave_ft - grid / 2)
    return low, leave_ft + grid / 2


def _kinds(written: pl.DataFrame, step: float) -> tuple[Array, Array]:
    """Chance of each written outcome for each kind of miss, shape (rows, kinds).

    Twice: where the side means the one the ball passed on, and the one it stopped on.
    """
    missed = written["missed"].to_numpy()
    leave = written["leave"].to_numpy().astype(np.float64)
    known = np.isfinite(leave)
    low, high = _range_of(np.where(known, leave, 1.0), step)
    near = np.where(known[:, None], _mass_below(high) - _mass_below(low), 1.0)
    pace = np.array([[1 - WRONG_PACE, WRONG_PACE], [WRONG_PACE, 1 - WRONG_PACE], [1.0, 1.0]])
    side = np.array([[1 - WRONG_SIDE, WRONG_SIDE], [WRONG_SIDE, 1 - WRONG_SIDE], [0.5, 0.5]])
    side = np.vstack([side, np.ones((1, 2))])
    paces = pace[written["miss_pace"].to_numpy()][:, :, None, None, None]
    sides = side[written["miss_side"].to_numpy()]
    leaves = near[:, None, None, None, :]
    shape = (len(written), 2, 2, 2, len(_LEAVES_FT))

    def whole(side: Array) -> Array:
        ends = np.broadcast_to(paces * side * leaves, shape).reshape(len(written), _KINDS)
        return np.asarray(ends * missed[:, None], dtype=np.float64)

    return whole(sides[:, None, :, None, None]), whole(sides[:, None, None, :, None])


def _mass_below(at_ft: Array) -> Array:
    """Share of each node's triangle of leaves that lies below, shape (n, nodes)."""
    fine = np.linspace(0, 60, 6001)
    triangles = np.stack([np.interp(fine, _LEAVES_FT, unit) for unit in np.eye(len(_LEAVES_FT))])
    total = np.cumsum(triangles, axis=1)
    total /= total[:, -1:]
    return np.stack([np.interp(at_ft, fine, each) for each in total], axis=1)


def _stray(leave_ft: Array, length_ft: Array, step: float) -> Array:
    """Chance of a written leave that the model does not cover; 0 where none was written."""
    leave = leave_ft.astype(np.float64)
    known = np.isfinite(leave)
    low, high = _range_of(np.where(known, leave, 1.0), step)
    usual = STRAY_LEAST_FT + STRAY_LENGTH_SHARE * length_ft
    return np.where(known, (np.exp(-low / usual) - np.exp(-high / usual)) / 4, 0.0)


def miss_cells(seen: Seen, fit: FittedStroke) -> Array:
    """What each kind of miss was: shares of read, direction and pace, shape (n, 3).

    A ball in a cell of misses would have dropped with the perfect line at its pace, or at the meant
    pace on its line, with either, or only with both; pace takes all, none or half accordingly. The
    rest goes to read and direction by what each is expected to have been off, habits included.
    Kinds that were holed have zeros.
    """
    found = np.zeros((len(seen.count), 3))
    more = on_greens_of(fit.grade)
    for speed, nodes in seen.nodes.items():
        lengths = tuple(node.length for node in nodes)
        by_cause, aims = _causes_by_end(fit.stroke, float(STIMPS_FT[speed]), lengths)
        for at, node in enumerate(nodes):
            narrower, _ = _fit_of_aims(fit.stroke, aims[at], node.aimed, node.length)
            greens = node.on_greens(more * narrower)
            kinds = node.kinds(fit.passed)
            for cause, ends in enumerate(by_cause):
                found[node.rows, cause] = (greens @ ends[at] @ kinds)[node.word, node.outcome]
    total = found.sum(axis=1, keepdims=True)
    return np.asarray(found / np.where(total > 0, total, 1.0), dtype=np.float64)


def _causes_by_end(
    stroke: PuttingStroke, stimp_ft: float, lengths: tuple[int, ...]
) -> tuple[list[Array], Array]:
    """By cause the chance of every kind of miss times its share, and the perfect aims.

    Shapes (lengths, places, kinds) and (lengths, places).
    """
    places, kinds_of = _tables(stimp_ft, lengths)
    missed = shares(places, stroke.send(places)).missed
    aim, roll = places.read(stroke.past_ft(places.length_ft))
    out = places.miss_angle
    perfect_line = (places.low < aim[:, None]) & (aim[:, None] < places.high)
    meant = (places.edges_ft[:, 1:] > roll[:, None]).argmax(axis=1)
    one = np.arange(len(meant))
    low, high = (each[one, meant][:, None, None, None] for each in (places.low, places.high))
    by_line = perfect_line[:, :, None, None]
    by_pace = (low < out) & (out < high)
    pace = np.where(by_line == by_pace, 0.5, np.where(by_pace, 1.0, 0.0))
    off = out - aim[:, None, None, None]
    less = np.where(places.direction >= 0, stroke.less_left_to_right, stroke.less_right_to_left)
    read_mean, read_spread = -less * aim, stroke.read * aim
    steady_mean, steady_spread = np.radians(stroke.left_deg), np.radians(stroke.direction_deg)
    of_read = read_spread**2 / (read_spread**2 + steady_spread**2)
    surprise = off - (read_mean + steady_mean)[:, None, None, None]
    by_read = read_mean[:, None, None, None] + of_read[:, None, None, None] * surprise
    share = np.clip(by_read / np.where(off == 0, np.inf, off), 0.0, 1.0)
    split = (share * (1 - pace), (1 - share) * (1 - pace), np.broadcast_to(pace, share.shape))
    shape = (len(lengths), _A_PLANE)
    found = [(kinds_of @ (missed * each).reshape(-1)).reshape(*shape, _KINDS) for each in split]
    return found, aim.reshape(shape)

"""What a stroke says to its player: parts, habits, what misses were, and what each is worth.

Everything is worked out from the fit of :mod:`sgputt.stroke.fitting` on the player's own putts.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, replace
from functools import cached_property

import numpy as np
import polars as pl
from scipy.special import ndtr, ndtri

from sgputt.errors import TooFewError
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.putts.table import BREAKS, ROUND_KEY, SLOPES
from sgputt.stroke.expected import ExpectedGrid, expected_grid, weights_by_place
from sgputt.stroke.explanations import LINES, NEXT_TO_NONE, SIDES, Place
from sgputt.stroke.fitting import (
    LEVEL,
    NAMES,
    FittedStroke,
    Seen,
    fit_putting_stroke,
    miss_cells,
    seen_putts,
    stroke_of,
)
from sgputt.stroke.outcomes import LENGTHS_FT, STIMPS_FT
from sgputt.stroke.player import (
    FAST_STIMP_FT,
    PART_OF,
    SPREADS,
    TOUR_STROKE,
    PuttingStroke,
    one_step_better,
)
from sgputt.stroke.population import MEAN_GRADE, between

HOLES_IN_A_ROUND = 18
CAUSES = ("read", "direction", "pace")
UNITS = {"read": "share of the break", "direction": "degrees", "pace": "share of the roll"}
# A habit is told from this chance on that it is among those that explain the putts, and this one
# that it goes the way it is said to go.
_AMONG, _THIS_WAY = 0.65, 0.975
# Of strokes a round: what is beyond is noise in the difference of two sums.
_DIGITS = 6
_FAST_NODE_FT = float(STIMPS_FT[STIMPS_FT >= FAST_STIMP_FT][0])


@dataclass(frozen=True)
class StrokesWorth:
    """Strokes a round of 18 holes on the player's own putts, with the fit's interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class StrokePart:
    """One spread of the stroke.

    Attributes
    ----------
    part : str
        ``read``, ``direction`` or ``pace``.
    value, low, high, unit : float, float, float, str
        The spread and its interval.
    tour, better : float
        The tour's, and one step better than the player's own.
    worth_per_round : StrokesWorth
        What one step better would gain.
    """

    part: str
    value: float
    low: float
    high: float
    unit: str
    tour: float
    better: float
    worth_per_round: StrokesWorth


@dataclass(frozen=True)
class Habit:
    """Something the stroke does on average.

    Attributes
    ----------
    habit : str
        ``too little break``, ``too much break``, ``left``, ``right``, ``short`` or ``long``.
    where : str
        ``all``, ``left to right``, ``right to left``, ``uphill``, ``downhill``, ``fast greens``.
    size, low, high, unit : float, float, float, str
        Its size on such putts, always positive; ``low`` is 0 where it may be none.
    chance : float
        That it is this way and not the other.
    told : bool
        Whether it is among the fewest habits that explain the putts, beyond luck, all looked at
        together.
    worth_per_round : StrokesWorth
        What it costs a stroke that has no other habit.
    text : str
        A sentence.
    """

    habit: str
    where: str
    size: float
    low: float
    high: float
    unit: str
    chance: float
    told: bool
    worth_per_round: StrokesWorth
    text: str


@dataclass(frozen=True)
class MissCause:
    """Misses put down to one cause.

    Attributes
    ----------
    cause : str
        ``read``, ``direction`` or ``pace``.
    share : float
        Of all misses, by what would have had to be different for the ball to drop.
    lost_per_round : float
        Strokes a round of 18 holes that these misses lost against the tour from the same places.
    """

    cause: str
    share: float
    lost_per_round: float


@dataclass(frozen=True)
class StrokeCauses:
    """Everything that a player's putts say of the stroke.

    Attributes
    ----------
    fit : FittedStroke or None
        None where the putts are too few.
    rounds, putts : int
        Rounds and putts that were used.
    parts : list of StrokePart
    habits : list of Habit
        All that were looked at, the told ones first.
    misses : list of MissCause
    own_words : polars.DataFrame
        ``cause, putts, read, direction, pace``: for each word the player wrote, how many misses and
        what the model makes of them.
    each_miss : polars.DataFrame
        The putts table's key of every miss with ``read, direction, pace``, which add to 1.
    pace_note : str
        How far the pace is from the one that would cost least; empty where nothing can be said.
    too_few : str
        What is missing for a fit; empty when there is one.
    """

    fit: FittedStroke | None
    rounds: int
    putts: int
    parts: list[StrokePart]
    habits: list[Habit]
    misses: list[MissCause]
    own_words: pl.DataFrame
    each_miss: pl.DataFrame
    pace_note: str
    too_few: str
    assumption: str

    @property
    def told(self) -> list[Habit]:
        """Habits that are beyond luck."""
        return [each for each in self.habits if each.told]

    def as_dict(self) -> dict[str, object]:
        """Its JSON, which scripts may rely on."""
        return {
            "rounds": self.rounds,
            "putts": self.putts,
            "parts": [asdict(each) for each in self.parts],
            "habits": [asdict(each) for each in self.habits],
            "misses": [asdict(each) for each in self.misses],
            "own_words": self.own_words.to_dicts(),
            "pace_note": self.pace_note,
            "too_few": self.too_few,
            "assumption": self.assumption,
        }


ASSUMPTION = (
    "A model: greens are planes met from all sides, with grades of about {grade:.1f} % on average "
    "where no grade is written{learnt}; errors of read, direction and pace are normal and "
    "independent. Start line and steady misreading are one figure, direction; a gate drill parts "
    "them."
)
_LEARNT = " (from 1.8 %, moved by what these putts say)"


@dataclass(frozen=True)
class FirstPutts:
    """First putts of a player, a round of 18 holes.

    Attributes
    ----------
    weights : ndarray, shape (lengths, 4, 4)
        How often each length, slope and break of :class:`ExpectedGrid` is met.
    stimp_ft : float
        The node of the green speeds nearest to the player's greens.
    grade : float
        Mean grade of these greens, rise over run.
    """

    weights: Array
    stimp_ft: float
    grade: float = MEAN_GRADE

    @cached_property
    def by_place(self) -> Array:
        """How often each place of the tables is met, shape (lengths, grades, directions)."""
        return weights_by_place(self.weights, self.stimp_ft, self.grade)

    def putts_a_round(self, stroke: PuttingStroke) -> float:
        """Putts that a stroke needs a round from these places."""
        return float((self.by_place * expected_grid(stroke, self.stimp_ft).by_place).sum())


def first_putts_met(putts: pl.DataFrame, holes: int) -> FirstPutts:
    """First putts from the green as they are met, a round.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    holes : int
        Holes played, those without a putt too.
    """
    first = (
        putts.filter((pl.col("surface") == "green") & pl.col("distance_ft").is_not_null())
        .sort("putt")
        .unique([*ROUND_KEY, "hole"], keep="first")
    )
    low, share = between(first["distance_ft"].to_numpy(), LENGTHS_FT, log=True)
    slope = first["slope"].to_physical().to_numpy().astype(np.intp)
    bend = first["break"].to_physical().to_numpy().astype(np.intp)
    weights = np.zeros((len(LENGTHS_FT), len(SLOPES), len(BREAKS)))
    np.add.at(weights, (low, slope, bend), 1 - share)
    np.add.at(weights, (low + 1, slope, bend), share)
    speed = first["stimp_ft"].mean()
    usual = float(speed) if isinstance(speed, float) else USUAL_STIMP_FT
    nearest = float(STIMPS_FT[np.abs(STIMPS_FT - usual).argmin()])
    return FirstPutts(weights * HOLES_IN_A_ROUND / max(holes, 1), nearest)


def stroke_causes(
    putts: pl.DataFrame,
    holes: int,
    level: float = LEVEL,
    parent: PuttingStroke = TOUR_STROKE,
    fit: FittedStroke | None = None,
) -> StrokeCauses:
    """Fit a player's stroke and put into words what it says.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    holes : int
        Holes played, those without a putt too.
    level : float
        Coverage of the intervals.
    parent : PuttingStroke
        Toward whose spreads the fit is drawn where putts are few.
    fit : FittedStroke, optional
        The fit of these putts, where it is there already.
    """
    try:
        fit = fit or fit_putting_stroke(putts, parent, level)
    except TooFewError as exc:
        return _nothing(putts, f"{exc.what} {exc.hint}")
    seen = seen_putts(putts)
    met = replace(first_putts_met(putts, holes), grade=fit.grade)
    own = met.putts_a_round(fit.stroke)
    with ThreadPoolExecutor(1) as beside:
        # Half of the work, and large arrays alone, for which a second core can be used.
        habits = beside.submit(lambda: _Habits(fit, met, seen.rows).all)
        each = _each_miss(fit, seen)
        return StrokeCauses(
            fit=fit,
            rounds=fit.rounds,
            putts=fit.putts,
            parts=[_part(part, fit, met, own) for part in CAUSES],
            misses=_misses(each, met, holes),
            own_words=_own_words(each),
            each_miss=each.select(*ROUND_KEY, "hole", "putt", *CAUSES),
            pace_note=_pace_note(fit, met),
            habits=habits.result(),
            too_few="",
            assumption=ASSUMPTION.format(grade=100 * fit.grade, learnt=_LEARNT),
        )


def _nothing(putts: pl.DataFrame, too_few: str) -> StrokeCauses:
    rounds = putts.select(ROUND_KEY).n_unique()
    key = {name: putts.schema[name] for name in (*ROUND_KEY, "hole", "putt")}
    shares = dict.fromkeys(CAUSES, pl.Float64())
    words = pl.DataFrame(schema={"cause": pl.String(), "putts": pl.Int64(), **shares})
    each = pl.DataFrame(schema={**key, **shares})
    assumption = ASSUMPTION.format(grade=100 * MEAN_GRADE, learnt="")
    return StrokeCauses(
        None, rounds, putts.height, [], [], [], words, each, "", too_few, assumption
    )


def _part(part: str, fit: FittedStroke, met: FirstPutts, own: float) -> StrokePart:
    name = PART_OF[part]
    value = float(getattr(fit.stroke, name))
    low, high = fit.interval(name)
    better = float(getattr(one_step_better(fit.stroke), name))

    def gained(at: float, before: float | None = None) -> float:
        now = replace(fit.stroke, **{name: at})
        step = replace(fit.stroke, **{name: float(getattr(one_step_better(now), name))})
        return (met.putts_a_round(now) if before is None else before) - met.putts_a_round(step)

    worth = StrokesWorth(gained(value, own), gained(low), gained(high))
    return StrokePart(
        part, value, low, high, UNITS[part], float(getattr(TOUR_STROKE, name)), better, worth
    )


def told_habits(fit: FittedStroke, putts: pl.DataFrame) -> dict[tuple[str, str], float]:
    """Habits that are told of a player, without their worth.

    Parameters
    ----------
    fit : FittedStroke
    putts : polars.DataFrame
        The putts it was fitted to: which share of them ran up, down and on fast greens.

    Returns
    -------
    dict of float
        Size with its sign by kind (``break``, ``degrees``, ``roll``) and place, as in
        :class:`Habit`.
    """
    habits = _habits_in(fit, putts)
    return {place: habits.value(place)[0] for place in LINES if place in habits.told}


def habit_sizes(fit: FittedStroke, putts: pl.DataFrame) -> dict[Place, tuple[float, float]]:
    """Size of every habit, told or not, with its sign, and its standard error.

    Parameters as for :func:`told_habits`, and keys too.
    """
    habits = _habits_in(fit, putts)
    return {place: habits.value(place) for place in LINES}


def _habits_in(fit: FittedStroke, putts: pl.DataFrame) -> _Habits:
    green = putts.filter(pl.col("surface") == "green")
    return _Habits(fit, None, green.select(pl.col("slope").cast(pl.String), "stimp_ft"))


class _Habits:
    """The habits of one fit, each a sum of some of its values."""

    def __init__(self, fit: FittedStroke, met: FirstPutts | None, rows: pl.DataFrame) -> None:
        self.fit, self.met = fit, met
        slope = rows["slope"].to_numpy()
        fast = rows["stimp_ft"].fill_null(USUAL_STIMP_FT).to_numpy() >= FAST_STIMP_FT
        self.shares = {
            "long_uphill": float((slope == "uphill").mean()),
            "long_downhill": float((slope == "downhill").mean()),
            "long_fast": float(fast.mean()),
        }

    @cached_property
    def all(self) -> list[Habit]:
        found = [
            self._habit(place)
            for place in LINES
            if place[1] != "fast greens" or self.shares["long_fast"] > 0
        ]
        return sorted(found, key=lambda each: (not each.told, -each.worth_per_round.value))

    @cached_property
    def told(self) -> set[Place]:
        """Of the likeliest set of habits, those that are beyond luck."""
        likely = self.fit.explained
        return {
            place
            for place in likely.best
            if likely.chances[place] >= _AMONG
            and self._chance(*self._taken(place, likely.best_values, likely.best_covariance))
            >= _THIS_WAY
        }

    def value(self, place: Place) -> tuple[float, float]:
        """A habit's value with its sign, and its standard error.

        Of a told one as if the likeliest set were the true one, with the doubt that greens and
        words leave; else over all sets.
        """
        if place in self.told:
            likely = self.fit.explained
            value, error = self._taken(place, likely.best_values, likely.best_covariance)
            return value, float(np.hypot(error, NEXT_TO_NONE[place[0]]))
        return self._taken(place, self.fit.values, self.fit.covariance)

    def _taken(self, place: Place, values: Array, covariance: Array) -> tuple[float, float]:
        weights = np.zeros(len(values))
        for name, weight in self._sum(*place).items():
            weights[NAMES.index(name)] = weight
        return float(weights @ values), float(np.sqrt(weights @ covariance @ weights))

    @staticmethod
    def _chance(value: float, error: float) -> float:
        return float(ndtr(abs(value) / error))

    def _sum(self, kind: str, where: str) -> dict[str, float]:
        """Values that a habit on such putts adds up, with their weights."""
        if kind == "degrees":
            return {"left_deg": 1.0}
        if kind == "break":
            sides = {"left to right": SIDES[0], "right to left": SIDES[1]}
            return dict.fromkeys(SIDES, 0.5) if where == "all" else {sides[where]: 1.0}
        felt = {"long_uphill": self.fit.uphill_share, "long_downhill": self.fit.downhill_share}
        fast = {"long_fast": self.shares["long_fast"]}
        sloped = {name: self.shares[name] * felt[name] for name in felt}
        of = {
            "all": {**sloped, **fast},
            "uphill": {"long_uphill": felt["long_uphill"], **fast},
            "downhill": {"long_downhill": felt["long_downhill"], **fast},
            "fast greens": {**sloped, "long_fast": 1.0},
        }
        return {"long": 1.0, **of[where]}

    def _habit(self, place: Place) -> Habit:
        kind, where = place
        value, error = self.value(place)
        reach = float(ndtri((1 + self.fit.level) / 2)) * error
        size, low, high = abs(value), max(abs(value) - reach, 0.0), abs(value) + reach
        words = {
            "break": ("too little break", "too much break"),
            "degrees": ("left", "right"),
            "roll": ("long", "short"),
        }
        habit = words[kind][value < 0]
        worth = self._worth(place, value, low, high)
        unit = {"break": "share of the break", "degrees": "degrees", "roll": "share of the roll"}
        chance = self._chance(value, error)
        text = habit_text(habit, where, size, low, high, worth)
        told = place in self.told
        return Habit(habit, where, size, low, high, unit[kind], chance, told, worth, text)

    def _worth(self, place: Place, value: float, low: float, high: float) -> StrokesWorth:
        """What the habit costs a stroke without any other, as it is and at the ends of its size."""
        values = self.fit.values.copy()
        values[len(SPREADS) :] = 0.0
        clean = stroke_of(values, self.fit.stroke)
        moved = LINES[place]
        felt = {"uphill": self.fit.uphill_share, "downhill": self.fit.downhill_share}
        assert self.met is not None
        met = self.met
        if place[1] == "fast greens":
            share = self.shares["long_fast"]
            met = replace(met, weights=met.weights * share, stimp_ft=_FAST_NODE_FT)
        without = met.putts_a_round(clean)

        def cost(size: float) -> float:
            if not size:
                return 0.0
            by = float(np.copysign(size, value)) / felt.get(place[1], 1.0)
            habit = replace(clean, **{name: by * each for name, each in moved.items()})
            return round(max(met.putts_a_round(habit) - without, 0.0), _DIGITS)

        worth, *ends = (cost(size) for size in (abs(value), low, high))
        # Past the hole by a little costs least, so that the smallest habit need not.
        return StrokesWorth(worth, min(worth, *ends), max(worth, *ends))


def habit_text(
    habit: str, where: str, size: float, low: float, high: float, worth: StrokesWorth
) -> str:
    """A habit in a sentence."""
    putts = {
        "all": "All putts",
        "left to right": "Left-to-right putts",
        "right to left": "Right-to-left putts",
        "uphill": "Uphill putts",
        "downhill": "Downhill putts",
        "fast greens": "Fast greens",
    }[where]
    if where == "all" and habit in ("too little break", "too much break"):
        putts = "Breaking putts, both ways"
    if habit in ("left", "right"):
        said = f"your putts start or are read {size:.1f} degrees too far {habit}"
        span = f"{low:.1f} to {high:.1f}"
    elif habit in ("short", "long"):
        said = f"you hit them {100 * size:.0f} % too {'softly' if habit == 'short' else 'hard'}"
        span = f"{100 * low:.0f} to {100 * high:.0f} %"
    else:
        way = "too little" if habit == "too little break" else "too much"
        said = f"you play {100 * size:.0f} % of the break {way}"
        span = f"{100 * low:.0f} to {100 * high:.0f} %"
    return f"{putts}: {said} ({span}), worth {worth.value:.2f} strokes a round."


def _each_miss(fit: FittedStroke, seen: Seen) -> pl.DataFrame:
    """Every miss with the shares of its causes, and where it was and ended."""
    shares = seen.by_putt @ miss_cells(seen, fit)
    frame = seen.rows.with_columns(
        pl.Series(cause, shares[:, at]) for at, cause in enumerate(CAUSES)
    )
    return frame.filter(pl.col("result") == "missed")


def _misses(each: pl.DataFrame, met: FirstPutts, holes: int) -> list[MissCause]:
    if each.is_empty():
        return []
    lost = _lost(each, expected_grid(TOUR_STROKE, met.stimp_ft, met.grade))
    rounds = max(holes, 1) / HOLES_IN_A_ROUND
    return [
        MissCause(
            cause,
            float(np.mean(each[cause].to_numpy())),
            float(each[cause].to_numpy() @ lost) / rounds,
        )
        for cause in CAUSES
    ]


def _lost(each: pl.DataFrame, grid: ExpectedGrid) -> Array:
    """Strokes that each miss lost against the tour; a leave not written counts as the usual one."""
    slope = each["slope"].to_physical().to_numpy().astype(np.intp)
    bend = each["break"].to_physical().to_numpy().astype(np.intp)
    length = each["distance_ft"].to_numpy()
    before = grid.at(length, slope, bend)
    low, share = between(length, LENGTHS_FT, log=True)
    one = (1 - share) * grid.one_putt[low, slope, bend] + share * grid.one_putt[
        low + 1, slope, bend
    ]
    usual = (before - 1) / np.maximum(1 - one, 1e-6)
    leave = each["leave_ft"].fill_null(np.nan).to_numpy()
    known = np.isfinite(leave) & (leave > 0)
    unknown = np.full(len(leave), len(SLOPES) - 1)
    after = grid.at(np.where(known, leave, 1.0), unknown, unknown)
    return np.asarray(1 + np.where(known, after, usual) - before, dtype=np.float64)


def _own_words(each: pl.DataFrame) -> pl.DataFrame:
    """What the model makes of the misses that the player put a word to."""
    return (
        each.filter(pl.col("cause").is_not_null())
        .group_by(pl.col("cause").cast(pl.String))
        .agg(pl.len().cast(pl.Int64).alias("putts"), *(pl.col(name).mean() for name in CAUSES))
        .sort("putts", "cause", descending=[True, False])
    )


def _pace_note(fit: FittedStroke, met: FirstPutts) -> str:
    """How far the usual pace is from the one that costs least, at a usual length."""
    tried = np.array([-0.06, 0.0, 0.06])
    costs = [
        met.putts_a_round(replace(fit.stroke, long=fit.stroke.long + float(each))) for each in tried
    ]
    curve = np.polynomial.Polynomial.fit(tried, costs, 2).convert().coef
    if len(curve) < 3 or curve[2] <= 0:
        return ""
    best = float(np.clip(-curve[1] / (2 * curve[2]), -0.15, 0.15))
    length = 15.0
    off = -best * (length + float(fit.stroke.past_ft(np.array(length))))
    if abs(off) < 0.25:
        return "Your pace is within a quarter of a foot of the one that would cost least."
    way = "past" if off > 0 else "short of"
    return (
        f"From {length:.0f} ft your putts finish about {abs(off):.1f} ft {way} the pace that would "
        "cost least."
    )

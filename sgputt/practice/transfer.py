"""Does practice show on the course: the putts a drill trains against all the player's others.

Rounds differ by greens and days, and a drill is chosen because its putts went badly, so that part
of any later gain is luck coming back. Both are taken off before a gain is believed: what the other
putts gained meanwhile, in proportion to how far a better stroke shows there, and the pull of the
rounds before toward the player's own mean.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import polars as pl
from scipy.special import ndtr, ndtri

from sgputt.gained.per_putt import after_miss
from sgputt.inference.cells import FEWEST_PUTTS, SURE
from sgputt.inference.intervals import (
    HOLES_IN_A_ROUND,
    LEVEL,
    MOST_ROUNDS,
    ROUNDS_FOR_AN_INTERVAL,
    Difference,
    Sample,
    difference,
    t_below,
    t_density,
    welch_freedom,
    wilson_interval,
)
from sgputt.physics.roll import Array
from sgputt.practice.before_after import Fits, StrokesAround
from sgputt.practice.drills import Drill
from sgputt.practice.marks import habit_word
from sgputt.practice.progress import doubts_of_habits
from sgputt.practice.scoring import BREAKS, SLOPES, Gate, break_word, slope_word
from sgputt.putts.table import ROUND_KEY
from sgputt.season.scored import Scored
from sgputt.stroke.causes import habit_sizes
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.explanations import LINES
from sgputt.stroke.fitting import FittedStroke
from sgputt.stroke.player import HABITS, PART_OF, TOUR_STROKE, times_as_wide
from sgputt.wording import chances, plural

# Strokes a round. How much a drill may change what it trains, as a standard deviation around
# nothing, before any round after it is seen: an assumption, no source.
GAIN_SPREAD = 0.4
# How far the putts of a drill lie from the player's others before it is taken up, strokes a round
# as a standard deviation: an assumption, no source.
APART_SPREAD = 0.25
# Smaller gains than this are not worth waiting for.
LEAST_GAIN = 0.02
_TAIL_FREEDOM = 3
_GRID, _GRID_REACH = 2001, 8.0
# Course putts as long as the drill's tees, give or take this share.
_GIVE_OR_TAKE = 0.15
# Chance from which a habit is said to have become smaller, and how many standard errors make one.
_SURE_OF_HABIT = 0.98
_HABIT_BEFORE = 2.0
# Chance of a false alarm about a spread, shared by the causes that a drill works on.
_FALSE_SPREAD = 0.01
# A stroke a little worse everywhere, to see where a common change shows.
_WORSE = 1.1


@dataclass(frozen=True)
class Rate:
    """Successes of some balls with Wilson's interval.

    Attributes
    ----------
    expected : float or None
        Share that the players compared with would hole of the same putts; None where a success
        is not a holed putt.
    """

    balls: int
    successes: int
    rate: float
    low: float
    high: float
    expected: float | None = None


@dataclass(frozen=True)
class CourseRate:
    """Success in a drill against success on the course.

    Attributes
    ----------
    practice : Rate
    course : Rate or None
        None where the course cannot tell; ``words`` says why.
    since : datetime.date or None
        Day after which the course putts were played; None for all rounds.
    chance_practice_better : float or None
        Probability that the player truly does better in practice, allowing for the mix of lengths
        where ``expected`` is known.
    """

    practice: Rate
    course: Rate | None
    since: dt.date | None
    chance_practice_better: float | None
    words: str


def course_rate(
    drill: Drill, balls: int, successes: int, first: dt.date, scored: Scored, level: float = LEVEL
) -> CourseRate:
    """Hold the success rate of a drill against the course.

    Parameters
    ----------
    drill : Drill
    balls, successes : int
        Of all its sets.
    first : datetime.date
        Day of the first set: rounds after it count, or all where they have fewer than ten putts.
    scored : Scored
        Rounds of the player.
    level : float
        Coverage aimed at by the intervals.
    """
    practice = _rate(successes, balls, level, _expected_at_tees(drill, scored))
    why_not = _cannot_compare(drill)
    if why_not:
        return CourseRate(practice, None, None, None, why_not)
    putts = _same_putts(drill, scored)
    later = putts.filter(pl.col("date") > first)
    since = first if later.height >= FEWEST_PUTTS else None
    putts = putts if since is None else later
    if putts.height < FEWEST_PUTTS:
        few = f"only {putts.height} putts of that kind on the course: too few to compare"
        return CourseRate(practice, None, None, None, few)
    holes = drill.scoring.target.name == "hole"
    expected = float(putts["one_putt"].to_numpy().mean()) if holes else None
    course = _rate(int(putts["success"].sum()), putts.height, level, expected)
    chance = _chance_better(practice, course)
    return CourseRate(practice, course, since, chance, _words(chance))


def _tees(drill: Drill) -> list[float]:
    return [each.length_ft for each in drill.scoring.stations]


def _rate(successes: int, balls: int, level: float, expected: float | None) -> Rate:
    low, high = wilson_interval(successes, balls, level)
    return Rate(balls, successes, successes / balls, low, high, expected)


def _cannot_compare(drill: Drill) -> str:
    scoring = drill.scoring
    if isinstance(scoring, Gate):
        return "a gate has no like on the course: see the strokes gained instead"
    if drill.surface != "green":
        return "putts from off the green are not counted: no comparison"
    if scoring.target.name not in ("hole", "circle") or scoring.target.beyond_ft:
        return "a scorecard does not tell this kind of success: see the strokes gained instead"
    return ""


def _expected_at_tees(drill: Drill, scored: Scored) -> float | None:
    if drill.scoring.target.name != "hole":
        return None
    return float(scored.baseline.one_putt(np.array(_tees(drill))).mean())


def _same_putts(drill: Drill, scored: Scored) -> pl.DataFrame:
    """Course putts of the drill's lengths and slopes whose success is known."""
    tees = _tees(drill)
    low, high = min(tees) * (1 - _GIVE_OR_TAKE), max(tees) * (1 + _GIVE_OR_TAKE)
    putts = scored.gained.filter(
        pl.col("counts")
        & pl.col("distance_ft").is_between(low, high)
        & _on(pl.col("slope"), tuple(map(slope_word, drill.scoring.stations)), SLOPES)
        & _turning(drill)
    )
    holed = pl.col("result") == "holed"
    if drill.scoring.target.name == "circle":
        near = pl.col("leave_ft") <= float(drill.scoring.target.size_ft or 0.0)
        return putts.with_columns((holed | near).alias("success")).drop_nulls("success")
    return putts.with_columns(holed.alias("success"))


def _turning(drill: Drill) -> pl.Expr:
    """The break of a drill's stations, where all of them break; else any will do."""
    words = tuple(map(break_word, drill.scoring.stations))
    return pl.lit(True) if "straight" in words else _on(pl.col("break"), words, BREAKS)


def _chance_better(practice: Rate, course: Rate) -> float:
    """Normal; each share with a success and a failure added (Agresti & Caffo 2000; from memory)."""
    gap, variance = 0.0, 0.0
    for sign, each in ((1, practice), (-1, course)):
        share = (each.successes + 1) / (each.balls + 2)
        gap += sign * (share - (each.expected or 0.0))
        variance += share * (1 - share) / (each.balls + 2)
    return float(ndtr(gap / np.sqrt(variance)))


def _words(chance: float) -> str:
    if chance >= SURE:
        return (
            "better in practice than on the course: practise more as you play, one ball, a new"
            " putt each time, the full routine"
        )
    if chance <= 1 - SURE:
        return "better on the course than in practice"
    return "practice and course agree as far as can be told"


@dataclass(frozen=True)
class Trained:
    """What the putts a drill trains gained, round by round, beside all the player's others.

    Attributes
    ----------
    rounds : polars.DataFrame
        One row a round in the order played: the round key, ``holes``, ``putts`` of those trained,
        ``gained`` by them, ``rest`` by all others, ``beyond`` (what was gained beyond a common
        change of all putts), ``variance`` (of the baseline's own chance in ``beyond``).
    """

    rounds: pl.DataFrame

    def sample(self, rounds: pl.DataFrame, column: str = "beyond") -> Sample:
        """Some of the rounds as a sample of one column."""
        holes = rounds["holes"].to_numpy().astype(np.float64)
        total = float(holes.sum()) or 1.0
        chance = float(rounds["variance"].sum()) * (HOLES_IN_A_ROUND / total) ** 2
        chance = chance if column == "beyond" else 0.0
        return Sample(rounds[column].to_numpy()[:, None], holes, np.array([chance]))


def trained_by(drill: Drill, scored: Scored) -> Trained | None:
    """Gather what a drill trains and what else was putted.

    A putt of unknown slope or break counts where a drill trains all of them.

    Parameters
    ----------
    drill : Drill
    scored : Scored
        Rounds of one player.

    Returns
    -------
    Trained or None
        None where strokes gained say nothing: off the green, or no putt on one of the sides.
    """
    if drill.surface != "green":
        return None
    share = pl.col("one_putt")
    counted = scored.gained.filter("counts").with_columns(
        within(drill).alias("in"),
        pl.Series("shows", _where_it_shows(scored.gained.filter("counts")["distance_ft"])),
        (share * (1 - share) * after_miss() ** 2 + (1 - share) * pl.col("leave_spread") ** 2).alias(
            "chance"
        ),
    )
    shows_in = float(counted.filter("in")["shows"].sum())
    shows_out = float(counted.filter(~pl.col("in"))["shows"].sum())
    if shows_in <= 0 or shows_out <= 0:
        return None
    common = shows_in / shows_out
    inside, outside = pl.col("in"), ~pl.col("in")
    gained = pl.col("sg").fill_null(0.0)
    sums = counted.group_by(ROUND_KEY).agg(
        inside.sum().alias("putts").cast(pl.Int64),
        gained.filter(inside).sum().alias("gained"),
        gained.filter(outside).sum().alias("rest"),
        pl.col("chance").filter(inside).sum().alias("variance_in"),
        pl.col("chance").filter(outside).sum().alias("variance_out"),
    )
    joined = (
        scored.rounds.select(*ROUND_KEY, "holes")
        .join(sums, on=ROUND_KEY, how="left", maintain_order="left")
        .with_columns(pl.col("putts", "gained", "rest", "variance_in", "variance_out").fill_null(0))
        .with_columns(
            (pl.col("gained") - common * pl.col("rest")).alias("beyond"),
            (pl.col("variance_in") + common**2 * pl.col("variance_out")).alias("variance"),
        )
    )
    return Trained(joined)


def _where_it_shows(length_ft: pl.Series) -> Array:
    """How far a change of all putts alike, such as easier greens, shows at each length, strokes."""
    lengths, gains = _common_change()
    return np.asarray(np.interp(length_ft.to_numpy(), lengths, gains), dtype=np.float64)


@cache
def _common_change() -> tuple[Array, Array]:
    now = expected_grid(TOUR_STROKE)
    worse = expected_grid(TOUR_STROKE.changed(direction_deg=_WORSE, read=_WORSE, pace=_WORSE))
    return now.length_ft, worse.expected[:, -1, -1] - now.expected[:, -1, -1]


def within(drill: Drill) -> pl.Expr:
    """Whether a putt is among those a drill trains."""
    inside = pl.lit(False)
    for each in drill.trains:
        length = pl.col("distance_ft").is_between(each.low_ft, each.high_ft, "right")
        slope = _on(pl.col("slope"), each.slopes, SLOPES)
        inside = inside | (length & slope & _on(pl.col("break"), each.breaks, BREAKS))
    return inside


def _on(column: pl.Expr, words: tuple[str, ...], all_of: tuple[str, ...]) -> pl.Expr:
    """Whether a putt has one of the words; an unknown one fits all of them together."""
    known = list(dict.fromkeys(words))
    wanted = [*known, "unknown"] if set(known) == set(all_of) else known
    return column.cast(pl.String).is_in(wanted)


@dataclass(frozen=True)
class Change:
    """Strokes gained in what a drill trains, a round of 18 holes; rounds after against before.

    Attributes
    ----------
    before, after : float
        Strokes gained by the putts trained, as played.
    value, low, high : float
        What they gained beyond the player's other putts, after less before, with its interval by
        resampling the rounds of both; ``low, high`` are None where either has fewer than two.
    comes_back : float or None
        Part of ``value`` that is to be expected without any practice, luck evening out.
    chance_improved : float or None
        Probability of a true gain, allowing for that part.
    verdict : str
        ``improved``, ``worse`` or ``cannot tell``.
    gain_looked_for, more_rounds : float and int, or None
        A true gain of this size would be told from luck after about so many more rounds; None
        where a thousand would not do or there is little to win.
    rest : float or None
        How much everything else in the putting changed meanwhile.
    """

    rounds_before: int
    rounds_after: int
    putts_before: int
    putts_after: int
    before: float | None
    after: float | None
    value: float | None
    low: float | None
    high: float | None
    comes_back: float | None
    chance_improved: float | None
    verdict: str
    gain_looked_for: float | None
    more_rounds: int | None
    rest: float | None
    words: str
    level: float = LEVEL


@dataclass(frozen=True)
class StrokeChange:
    """A habit that a drill works on, fitted to the rounds before and after it was taken up.

    A habit of all putts does not show against the other putts; this does.

    Attributes
    ----------
    habit : str
    before, after : float
        Size on the putts that it is about, in the units of
        :class:`sgputt.stroke.player.PuttingStroke`; negative the other way.
    smaller : float
        Chance that it is truly smaller than before.
    """

    habit: str
    before: float
    after: float
    smaller: float

    @property
    def told(self) -> bool:
        """Whether it has become smaller, more than luck explains."""
        return self.smaller >= _SURE_OF_HABIT

    @property
    def words(self) -> str:
        """The change in a sentence."""
        return f"Chance that your habit ({self.habit}) has become smaller: {chances(self.smaller)}."


@dataclass(frozen=True)
class SpreadChange:
    """A spread that a drill works on, fitted to the rounds before and after it was taken up.

    A steadier stroke shows on all putts, so that it does not show against the others; this does.

    Attributes
    ----------
    cause : str
    before, after : float
        How many times as wide as a tour player's.
    narrower : float
        Chance that it is truly narrower than before.
    told : bool
        Whether it is, more than luck explains.
    """

    cause: str
    before: float
    after: float
    narrower: float
    told: bool

    @property
    def words(self) -> str:
        """The change in a sentence."""
        return (
            f"Chance that your {self.cause} has become steadier ({self.before:.1f} times as wide as"
            f" a tour player's before, {self.after:.1f} after): {chances(self.narrower)}."
        )


@dataclass(frozen=True)
class Transfer:
    """What became of one drill.

    Attributes
    ----------
    first : datetime.date
        Day of the first set; rounds of that day and earlier are before it.
    course : CourseRate
    change : Change
    shared_with : tuple of str
        Other drills practised that train some of the same putts; their effects cannot be told
        apart.
    stroke : StrokeChange or None
        The surest habit that it works on.
    spreads : tuple of SpreadChange
        Of its causes; empty where rounds are too few.
    """

    drill: Drill
    sets: int
    first: dt.date
    course: CourseRate
    change: Change
    shared_with: tuple[str, ...]
    stroke: StrokeChange | None = None
    spreads: tuple[SpreadChange, ...] = ()

    @property
    def by_the_stroke(self) -> str:
        """What of the stroke has become better, more than luck explains; empty where nothing."""
        better = []
        if self.stroke is not None and self.stroke.told:
            better.append(f"your habit ({self.stroke.habit}) has become smaller")
        better += [f"your {e.cause} has become steadier" for e in self.spreads if e.told]
        return f"{' and '.join(better)}, more than luck explains" if better else ""

    @property
    def verdict(self) -> str:
        """``improved``, ``worse`` or ``cannot tell``, by the putts or by the stroke.

        Where the stroke became better and the putts worse, nothing can be told.
        """
        if self.by_the_stroke:
            return "cannot tell" if self.change.verdict == "worse" else "improved"
        return self.change.verdict

    @property
    def words(self) -> str:
        """The verdict in a sentence."""
        if self.by_the_stroke:
            if self.change.verdict == "worse":
                return f"Cannot tell: {self.by_the_stroke}, yet the putts it trains got worse."
            return f"It shows on the course: {self.by_the_stroke}."
        return {
            "improved": "It shows on the course: more than luck explains.",
            "worse": "It got worse, more than luck explains: look why before the next set.",
        }.get(self.verdict, "Cannot tell whether it shows on the course.")


def transfers(
    sessions: pl.DataFrame,
    drills: Sequence[Drill],
    scored: Scored,
    level: float = LEVEL,
    strokes: StrokesAround | None = None,
) -> list[Transfer]:
    """Look at every drill practised, in the order taken up.

    Parameters
    ----------
    sessions : polars.DataFrame
        Columns of :data:`sgputt.practice.session.SESSIONS_SCHEMA`, of one player. A drill that is
        not among ``drills`` is left out.
    drills : sequence of Drill
    scored : Scored
        All rounds of that player.
    level : float
        Coverage aimed at by the intervals.
    strokes : StrokesAround, optional
        Of the putts of ``scored``, where others ask for the same fits.
    """
    strokes = strokes or StrokesAround(scored.gained)
    by_id = {drill.id: drill for drill in drills}
    known = sessions.filter(pl.col("drill").is_in(list(by_id)))
    practised = [by_id[name] for name in known["drill"].unique(maintain_order=True)]
    found = []
    for drill in practised:
        sets = known.filter(pl.col("drill") == drill.id)
        first = sets["date"].to_list()[0]
        balls, successes = int(sets["balls"].sum()), int(sets["successes"].sum())
        others = tuple(d.id for d in practised if d is not drill and _overlap(d, drill))
        course = course_rate(drill, balls, successes, first, scored, level)
        change = change_since(drill, first, scored, level)
        early, late = strokes.at(first)
        spreads = _spread_changes(drill, early, late)
        stroke = _habit_change(drill, (early, late), strokes.parts(first))
        one = Transfer(drill, sets.height, first, course, change, others, stroke, spreads)
        if one.by_the_stroke and change.verdict == "cannot tell":
            one = replace(one, change=replace(change, words=_BY_THE_STROKE))
        found.append(one)
    return found


def _spread_changes(
    drill: Drill, early: FittedStroke | None, late: FittedStroke | None
) -> tuple[SpreadChange, ...]:
    if early is None or late is None:
        return ()
    found = []
    for cause in drill.cause:
        part = PART_OF[cause]
        before, after = (times_as_wide(fit.stroke, part) for fit in (early, late))
        spread = float(np.hypot(early.error(part), late.error(part)))
        narrower = float(ndtr(np.log(before / after) / spread))
        told = narrower >= 1 - _FALSE_SPREAD / len(drill.cause)
        found.append(SpreadChange(cause, before, after, narrower, told))
    return tuple(found)


def _habit_change(
    drill: Drill, fits: Fits, putts: tuple[pl.DataFrame, pl.DataFrame]
) -> StrokeChange | None:
    """The surest habit of the rounds before that a drill works on, and what became of it.

    By its size on the putts that it is about: a few rounds may put what was short everywhere down
    to the putts uphill, and have nothing left that is so everywhere. None where these putts are not
    so: who hits putts too far, uphill less so than others, is not short uphill.
    """
    early, late = fits
    part = None if early is None else surest_habit(early, drill.habits)
    if early is None or late is None or part is None:
        return None
    place = next(place for place, moved in LINES.items() if list(moved) == [part])
    (before, doubt), (after, other) = (
        habit_sizes(fit, some)[place] for fit, some in zip((early, late), putts, strict=True)
    )
    habit = habit_word(part, before)
    if habit not in drill.habits:
        return None
    less = (before - after) * np.sign(before)
    doubts = doubts_of_habits((early, doubt), (late, other))
    smaller = float(ndtr(less / float(np.hypot(*doubts))))
    return StrokeChange(habit, before, after, smaller)


def surest_habit(fit: FittedStroke, words: Collection[str]) -> str | None:
    """The part of the stroke with the surest habit among those called so; None without one.

    Parameters
    ----------
    fit : FittedStroke
    words : collection of str
        As :attr:`sgputt.practice.drills.Drill.habits` has them.
    """
    sure = {
        part: abs(getattr(fit.stroke, part)) / fit.error(part)
        for part in HABITS
        if habit_word(part, getattr(fit.stroke, part)) in words
    }
    best = max(sure, key=lambda part: sure[part], default=None)
    return best if best is not None and sure[best] >= _HABIT_BEFORE else None


def _overlap(one: Drill, other: Drill) -> bool:
    """Whether two drills train some of the same putts."""
    return one.surface == other.surface and any(
        max(a.low_ft, b.low_ft) < min(a.high_ft, b.high_ft)
        and set(a.slopes) & set(b.slopes)
        and set(a.breaks) & set(b.breaks)
        for a in one.trains
        for b in other.trains
    )


def change_since(drill: Drill, first: dt.date, scored: Scored, level: float = LEVEL) -> Change:
    """Strokes gained in what a drill trains, after a day against up to it.

    Parameters
    ----------
    drill : Drill
    first : datetime.date
        Day of the first set.
    scored : Scored
        Rounds of one player.
    level : float
        Coverage aimed at by the interval.
    """
    area = trained_by(drill, scored)
    if area is None:
        why = "Putts from off the green are not counted"
        if drill.surface == "green":
            why = "It takes putts that the drill trains, and others to hold them against"
        return _unknown(scored.rounds, first, f"{why}.", level)
    early = area.rounds.filter(pl.col("date") <= first)
    late = area.rounds.filter(pl.col("date") > first)
    if early.is_empty() or late.is_empty():
        which = "before the first practice" if early.is_empty() else "since the first practice"
        return _unknown(area.rounds, first, f"There is no round {which}.", level)
    raw = difference(area.sample(early), area.sample(late), level)
    rest = difference(area.sample(early, "rest"), area.sample(late, "rest"), level)
    return _judged(raw, float(rest.value[0]), (early, late), area, level)


def _unknown(rounds: pl.DataFrame, first: dt.date, words: str, level: float) -> Change:
    before = int((rounds["date"] <= first).sum())
    nothing = (None,) * 7
    return Change(
        before,
        rounds.height - before,
        0,
        0,
        *nothing,
        "cannot tell",
        None,
        None,
        None,
        words,
        level,
    )


def _judged(
    raw: Difference,
    rest: float,
    parts: tuple[pl.DataFrame, pl.DataFrame],
    area: Trained,
    level: float,
) -> Change:
    early, late = parts
    belief = _believed(raw, area.sample(early).value[0], (early.height, late.height))
    low, high = float(raw.low[0]), float(raw.high[0])
    known = not np.isnan(low)
    chance = belief.chance if known else None
    looked_for = max(belief.gain, max(-belief.before, 0.0) / 2)
    more = _more_rounds(belief, looked_for, late.height) if known else None
    verdict = _verdict(chance, low, high)
    return Change(
        rounds_before=early.height,
        rounds_after=late.height,
        putts_before=int(early["putts"].sum()),
        putts_after=int(late["putts"].sum()),
        before=float(area.sample(early, "gained").value[0]),
        after=float(area.sample(late, "gained").value[0]),
        value=float(raw.value[0]),
        low=low if known else None,
        high=high if known else None,
        comes_back=belief.comes_back if known else None,
        chance_improved=chance,
        verdict=verdict,
        gain_looked_for=looked_for if known and looked_for >= LEAST_GAIN else None,
        more_rounds=None if verdict == "improved" else more,
        rest=rest,
        words=_change_words(verdict, known, (early.height, late.height), looked_for, more),
        level=level,
    )


@dataclass(frozen=True)
class _Belief:
    """What to believe of a gain; ``before`` is the shrunk value of the rounds before."""

    before: float
    comes_back: float
    gain: float
    chance: float
    doubt_before: float
    variance_after: float


def _believed(raw: Difference, before: float, rounds: tuple[int, int]) -> _Belief:
    """Posterior of the gain, normal about nothing beforehand, with normal luck in both."""
    first, second = float(raw.first_variance[0]), float(raw.second_variance[0])
    shrunk, left = _shrunk(before, first)
    doubt = left + second
    gain = (before + float(raw.value[0]) - shrunk) / (1 + doubt / GAIN_SPREAD**2)
    spread = np.sqrt(doubt / (1 + doubt / GAIN_SPREAD**2))
    freedom = welch_freedom(raw.first_variance, raw.second_variance, *rounds)[0]
    chance = float(t_below(gain / spread, freedom)) if spread > 0 else 0.5
    return _Belief(shrunk, shrunk - before, gain, chance, left, second)


def _shrunk(before: float, variance: float) -> tuple[float, float]:
    """Posterior mean and variance of what the rounds before were truly worth.

    The prior is Student's t, whose long tails leave a weakness that stands far out as it is; by
    sums over an even grid.
    """
    if not variance > 0:
        return before, 0.0
    reach = _GRID_REACH * float(np.sqrt(variance + APART_SPREAD**2))
    middle, half = before / 2, abs(before) / 2 + reach
    value = np.linspace(middle - half, middle + half, _GRID)
    weight = t_density(value / APART_SPREAD, _TAIL_FREEDOM)
    weight *= np.exp(-((value - before) ** 2) / (2 * variance))
    weight /= weight.sum()
    mean = float(value @ weight)
    return mean, float((value - mean) ** 2 @ weight)


def _more_rounds(belief: _Belief, gain: float, after: int) -> int | None:
    """More rounds after which a true gain of this size would usually be called one."""
    if gain < LEAST_GAIN:
        return None
    more = np.arange(1.0, MOST_ROUNDS + 1)
    doubt = belief.doubt_before + belief.variance_after * after / (after + more)
    sure = gain / np.sqrt(doubt) / np.sqrt(1 + doubt / GAIN_SPREAD**2)
    enough = np.flatnonzero(sure >= float(ndtri(SURE)))
    return int(more[enough[0]]) if len(enough) else None


def _verdict(chance: float | None, low: float, high: float) -> str:
    """What can be told; the difference as played has to agree."""
    if chance is not None and chance >= SURE and low > 0:
        return "improved"
    if chance is not None and chance <= 1 - SURE and high < 0:
        return "worse"
    return "cannot tell"


# What shows on all putts leaves none to hold those that a drill trains against.
_BY_THE_STROKE = "The putts it trains, held against your others, do not tell by themselves."


def _change_words(
    verdict: str, known: bool, rounds: tuple[int, int], gain: float, more: int | None
) -> str:
    if verdict != "cannot tell":
        return "The putts it trains tell it, held against your others."
    if not known:
        return f"It takes {ROUNDS_FOR_AN_INTERVAL} rounds before and after at least."
    if gain < LEAST_GAIN:
        return "Hardly anything was lost there, so there is little to win."
    if more is None:
        return (
            f"More rounds would not tell: a gain of about {gain:.2f} strokes a round is too small"
            f" beside the luck of the {rounds[0]} rounds before."
        )
    return (
        f"A true gain of about {gain:.2f} strokes a round would usually show after about"
        f" {plural(more, 'more round')}."
    )

"""Does practice show on the course: strokes gained before and after a drill was taken up.

A drill is chosen because its putts went badly, so part of any later gain is luck coming back. The
rounds before are therefore shrunk first, toward the player's own mean, as the cells of losses
are, and only what lies beyond that is held to be gained.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.inference.cells import SURE
from sgputt.inference.intervals import (
    FEWEST_ROUNDS,
    LEVEL,
    MOST_ROUNDS,
    Difference,
    difference,
    t_below,
    t_density,
    welch_freedom,
)
from sgputt.practice.area import Area, Prior, area_of, prior_of
from sgputt.practice.drills import Drill
from sgputt.practice.on_course import CourseRate, course_rate
from sgputt.practice.priorities import REACHABLE_SHARE
from sgputt.season.scored import Scored

# Strokes a round. How much a drill may change what it trains, as a standard deviation around
# nothing, before any round after it is seen: an assumption, no source.
GAIN_SPREAD = 0.4
# Smaller gains than this are not worth waiting for.
LEAST_GAIN = 0.02
_TAIL_FREEDOM = 3
_GRID, _GRID_REACH = 2001, 8.0


@dataclass(frozen=True)
class Change:
    """Strokes gained in what a drill trains, a round of 18 holes; rounds after less rounds before.

    Attributes
    ----------
    before, after : float
        As played.
    value, low, high : float
        Difference as played, with its interval by resampling the rounds of both;
        ``low, high`` are None where either has fewer than two rounds.
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
    """

    drill: Drill
    sets: int
    first: dt.date
    course: CourseRate
    change: Change
    shared_with: tuple[str, ...]


def transfers(
    sessions: pl.DataFrame, drills: Sequence[Drill], scored: Scored, level: float = LEVEL
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
    """
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
        found.append(Transfer(drill, sets.height, first, course, change, others))
    return found


def _overlap(one: Drill, other: Drill) -> bool:
    """Whether two drills train some of the same putts."""
    return one.surface == other.surface and any(
        a.component == b.component
        and max(a.low_ft, b.low_ft) < min(a.high_ft, b.high_ft)
        and set(a.slopes) & set(b.slopes)
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
    area = area_of(drill, scored)
    if area is None:
        why = "putts from off the green are not counted"
        if drill.surface == "green":
            why = "the lengths of second putts are missing on the cards"
        return _unknown(scored.rounds, first, f"Cannot tell: {why}.", level)
    early = area.rounds.filter(pl.col("date") <= first)
    late = area.rounds.filter(pl.col("date") > first)
    if early.is_empty() or late.is_empty():
        which = "before the first practice" if early.is_empty() else "since the first practice"
        return _unknown(area.rounds, first, f"Cannot tell yet: no round {which}.", level)
    raw = difference(area.sample(early), area.sample(late), level)
    rest = difference(area.sample(early, "rest"), area.sample(late, "rest"), level)
    prior = prior_of(area, scored, first)
    return _judged(raw, float(rest.value[0]), prior, (early, late), area, level)


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
    prior: Prior,
    parts: tuple[pl.DataFrame, pl.DataFrame],
    area: Area,
    level: float,
) -> Change:
    early, late = parts
    belief = _believed(raw, area.sample(early).value[0], prior, (early.height, late.height))
    low, high = float(raw.low[0]), float(raw.high[0])
    known = not np.isnan(low)
    chance = belief.chance if known else None
    looked_for = max(belief.gain, REACHABLE_SHARE * max(-belief.before, 0.0))
    more = _more_rounds(belief, looked_for, late.height) if known else None
    verdict = _verdict(chance, low, high)
    return Change(
        rounds_before=early.height,
        rounds_after=late.height,
        putts_before=int(early["putts"].sum()),
        putts_after=int(late["putts"].sum()),
        before=float(area.sample(early).value[0]),
        after=float(area.sample(late).value[0]),
        value=float(raw.value[0]),
        low=low if known else None,
        high=high if known else None,
        comes_back=belief.comes_back if known else None,
        chance_improved=chance,
        verdict=verdict,
        gain_looked_for=looked_for if known and looked_for >= LEAST_GAIN else None,
        more_rounds=None if verdict == "improved" else more,
        rest=rest,
        words=_words(verdict, known, (early.height, late.height), looked_for, more),
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


def _believed(raw: Difference, before: float, prior: Prior, rounds: tuple[int, int]) -> _Belief:
    """Posterior of the gain, normal about nothing beforehand, with normal luck in both."""
    first, second = float(raw.first_variance[0]), float(raw.second_variance[0])
    shrunk, left = _shrunk(before, first, prior)
    doubt = left + second
    gain = (before + float(raw.value[0]) - shrunk) / (1 + doubt / GAIN_SPREAD**2)
    spread = np.sqrt(doubt / (1 + doubt / GAIN_SPREAD**2))
    freedom = welch_freedom(raw.first_variance, raw.second_variance, *rounds)[0]
    chance = float(t_below(gain / spread, freedom)) if spread > 0 else 0.5
    return _Belief(shrunk, shrunk - before, gain, chance, left, second)


def _shrunk(before: float, variance: float, prior: Prior) -> tuple[float, float]:
    """Posterior mean and variance of what the rounds before were truly worth.

    The prior is Student's t, whose long tails leave a weakness that stands far out as it is; by
    sums over an even grid.
    """
    if not variance > 0:
        return before, 0.0
    reach = _GRID_REACH * float(np.sqrt(variance + prior.variance))
    middle = (before + prior.mean) / 2
    half = abs(before - prior.mean) / 2 + reach
    value = np.linspace(middle - half, middle + half, _GRID)
    weight = t_density((value - prior.mean) / np.sqrt(prior.variance), _TAIL_FREEDOM)
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


def _words(
    verdict: str, known: bool, rounds: tuple[int, int], gain: float, more: int | None
) -> str:
    if verdict == "improved":
        return "It shows on the course: more than luck explains."
    if verdict == "worse":
        return "It got worse, more than luck explains: look at the cause before the next set."
    if not known:
        return f"Cannot tell yet: it takes {FEWEST_ROUNDS} rounds before and after at least."
    if gain < LEAST_GAIN:
        return "Cannot tell: hardly anything was lost there, so there is little to win."
    if more is None:
        return (
            f"Cannot tell, and more rounds would not: a gain of about {gain:.2f} strokes a round"
            f" is too small beside the luck of the {rounds[0]} rounds before."
        )
    plural = "round" if more == 1 else "rounds"
    return (
        f"Cannot tell yet. A true gain of about {gain:.2f} strokes a round would usually show"
        f" after about {more} more {plural}."
    )

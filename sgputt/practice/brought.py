"""What practice has brought: strokes before and after drills were taken up, over many players.

A step (:mod:`sgputt.practice.worth`) is assumed until an archive holds enough players who took up a
drill and played on. What counts is the fitted stroke before and after the first set of any drill
for a part of it. The putts that a drill trains, held against the player's others, would not do: a
stroke that became better shows on all putts, so these would say that practice brings nothing.

Changes are told in multiples of the step that was assumed for that player, so that players of all
levels, spreads and habits can be added up. They are what happened to people who chose to practise,
not a trial: whatever else they changed meanwhile is in it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any

import numpy as np
import polars as pl

from sgputt.physics.roll import Array
from sgputt.practice.before_after import StrokesAround
from sgputt.practice.drills import Drill
from sgputt.practice.progress import doubts_of_habits
from sgputt.practice.transfer import surest_habit
from sgputt.season.scored import Scored
from sgputt.stroke.fitting import MODEL_SPREAD_DOUBT, NAMES, FittedStroke
from sgputt.stroke.player import HABIT_STEP, HABITS, PART_OF, spread_step
from sgputt.wording import plural

# Sets of a drill, and rounds before and after its first, from which a change counts. Choices: a
# step is taken to need about six sets, and fewer than eight rounds tell hardly anything of a read.
FEWEST_SETS = 6.0
FEWEST_ROUNDS = 8
# Players, and the standard error of what practice has brought as a multiple of the assumed step,
# from which the archive's own figure counts. Choices.
FEWEST_PLAYERS = 4
MOST_DOUBT = 0.5
# As multiples of the assumed step, standard deviations about it: how far off the assumption may
# be, how far the parts of a stroke differ in what practice brings, and players at least. Choices.
ASSUMED_DOUBT = 0.5
PARTS_DIFFER = 0.3
PLAYERS_DIFFER = 0.5
# A spread is practised because it looked wide beside the others, which is in part luck that comes
# back. So far above the mean, in standard deviations, it is taken to have stood: 0.85 is the widest
# of three, none is one taken at random. How far true spreads of a player lie apart, in their
# logarithm. Choices, held against invented players (DEVELOPERS.md); what they leave open, in
# assumed steps, is as large for many players as for few.
CHOSEN = 0.5
APART_SPREAD = 0.25
CHOICE_DOUBT = 0.2
# Where practice brought nothing, so much of the assumed step is still taken, so that drills keep
# an order. A choice.
LEAST_STEP = 0.1
# Spreads that were left alone change too, together, where greens or the whole game do; so far, as a
# standard deviation in their logarithm. An assumption.
COMMON_SPREAD = 0.2
# A spread was left alone next to another when it had at most this share of its sets. A choice.
LEFT_ALONE = 0.2
_HABIT = "habit"
GROUPS = (*PART_OF.values(), _HABIT)
_SPREAD_AT = {part: NAMES.index(part) for part in PART_OF.values()}


@dataclass(frozen=True)
class Brought:
    """What became of one part of one player's stroke since drills for it were taken up.

    Attributes
    ----------
    part : str
        Field of :class:`sgputt.stroke.player.PuttingStroke`.
    change : float
        Of a spread the logarithm of after over before, beyond the change of the spreads that were
        left alone (negative is narrower); of a habit the share of it that is left.
    error : float
        Standard error of ``change``.
    assumed : float
        What ``change`` is after the step that is assumed for this player.
    sets : float
        Logged; a set of a drill for two causes is half a set for each.
    rounds_before, rounds_after : int
    """

    part: str
    change: float
    error: float
    assumed: float
    sets: float
    rounds_before: int
    rounds_after: int

    @property
    def steps(self) -> float:
        """The change in assumed steps; positive is better."""
        return (self.change - self._without) / (self.assumed - self._without)

    @property
    def steps_error(self) -> float:
        """Standard error of ``steps``."""
        return self.error / abs(self.assumed - self._without)

    @property
    def _without(self) -> float:
        """``change`` where nothing has changed."""
        return 1.0 if self.part in HABITS else 0.0

    def as_dict(self) -> dict[str, Any]:
        """Plain values, to be kept."""
        return asdict(self)

    @classmethod
    def from_dict(cls, kept: Mapping[str, Any]) -> Brought:
        """What :meth:`as_dict` gave."""
        return cls(**{each.name: kept[each.name] for each in fields(cls)})


def brought_by(
    sessions: pl.DataFrame,
    drills: Sequence[Drill],
    scored: Scored,
    strokes: StrokesAround | None = None,
) -> list[Brought]:
    """What practice has brought one player, part by part of the stroke.

    A part is there when drills for it were practised for :data:`FEWEST_SETS` sets, with
    :data:`FEWEST_ROUNDS` rounds up to the first and as many after it; a spread only where another
    was left alone, since greens that became truer change them all.

    Parameters
    ----------
    sessions : polars.DataFrame
        Columns of :data:`sgputt.practice.session.SESSIONS_SCHEMA`, of one player. Drills that are
        not among ``drills`` are left out, and those off the green, which the fit does not know.
    drills : sequence of Drill
    scored : Scored
        All rounds of that player.
    strokes : StrokesAround, optional
        Of the putts of ``scored``, where others ask for the same fits.
    """
    strokes = strokes or StrokesAround(scored.gained)
    known = {drill.id: drill for drill in drills if drill.surface == "green"}
    played = scored.rounds["date"]
    # A set after the last round can show nowhere.
    logged = sessions.filter(pl.col("drill").is_in(list(known)) & (pl.col("date") < played.max()))
    practised = [known[name] for name in logged["drill"].unique(maintain_order=True)]
    sets_of = {
        part: sum(
            1 / len(known[name].cause) for name in logged["drill"] if cause in known[name].cause
        )
        for cause, part in PART_OF.items()
    }
    found = []
    for cause, part in PART_OF.items():
        shares = {each.id: 1 / len(each.cause) for each in practised if cause in each.cause}
        taken = _taken_up(logged, shares, played)
        alone = [name for name in sets_of if sets_of[name] <= LEFT_ALONE * sets_of[part]]
        early, late = strokes.at(taken.first) if taken is not None and alone else (None, None)
        if taken is not None and early is not None and late is not None:
            change, error = _beyond_the_others(part, alone, early, late)
            assumed = float(np.log(spread_step(early.stroke, part)))
            found.append(Brought(part, change, error, assumed, *taken.counts))
    for word in sorted({word for drill in practised for word in drill.habits}):
        shares = {each.id: 1.0 for each in practised if word in each.habits}
        taken = _taken_up(logged, shares, played)
        early, late = (None, None) if taken is None else strokes.at(taken.first)
        if taken is not None and early is not None and late is not None:
            habit = surest_habit(early, (word,))
            if habit is not None:
                left, error = _left_of_it(habit, early, late)
                found.append(Brought(habit, left, error, HABIT_STEP, *taken.counts))
    return found


@dataclass(frozen=True)
class _TakenUp:
    """When drills for one part were taken up, with sets since and rounds before and after."""

    first: dt.date
    counts: tuple[float, int, int]


def _taken_up(
    logged: pl.DataFrame, shares: Mapping[str, float], played: pl.Series
) -> _TakenUp | None:
    """None where sets or rounds are too few."""
    rows = logged.filter(pl.col("drill").is_in(list(shares)))
    sets = sum(shares[name] for name in rows["drill"])
    first = rows["date"].min()
    if not isinstance(first, dt.date) or sets < FEWEST_SETS:
        return None
    before = int((played <= first).sum())
    after = len(played) - before
    if min(before, after) < FEWEST_ROUNDS:
        return None
    return _TakenUp(first, (sets, before, after))


def _beyond_the_others(
    part: str, alone: Sequence[str], early: FittedStroke, late: FittedStroke
) -> tuple[float, float]:
    """Change of a spread less what it shares with those left alone and what comes back; its error.

    The others count as far as they tell the common change; what comes back is the luck of the
    rounds before in the spread beside the others.
    """
    at = [_SPREAD_AT[name] for name in (part, *alone)]
    # What the model has wrong of a spread it has wrong before and after.
    model = MODEL_SPREAD_DOUBT**2 * np.eye(len(at))
    before, after = (fit.covariance[np.ix_(at, at)] - model for fit in (early, late))
    changed = before + after + COMMON_SPREAD**2
    beside = np.append(1.0, -np.linalg.solve(changed[1:, 1:], changed[1:, 0]))
    luck = float(beside @ before @ beside)
    comes_back = CHOSEN * luck / np.sqrt(luck + APART_SPREAD**2)
    change = float(beside @ (late.values - early.values)[at] + comes_back)
    return change, float(np.sqrt(beside @ changed @ beside))


def _left_of_it(habit: str, early: FittedStroke, late: FittedStroke) -> tuple[float, float]:
    """Share of a habit that is left, and its error were half of it left."""
    before, after = getattr(early.stroke, habit), getattr(late.stroke, habit)
    doubts = doubts_of_habits((early, early.error(habit)), (late, late.error(habit)))
    return float(after / before), float(np.hypot(HABIT_STEP * doubts[0], doubts[1]) / abs(before))


@dataclass(frozen=True)
class MeasuredSteps:
    """What practice has brought in an archive, as multiples of the assumed step.

    Attributes
    ----------
    multiples : dict of float
        By spread, and ``habit`` for all habits; at least :data:`LEAST_STEP`.
    changes : dict of int
        How many there are of each.
    players : int
    brought, error : float
        What all parts together have brought, by the changes alone, with its standard error.
    """

    multiples: dict[str, float]
    changes: dict[str, int]
    players: int
    brought: float
    error: float

    @property
    def enough(self) -> bool:
        """Whether it may take the place of the assumed step."""
        return self.players >= FEWEST_PLAYERS and self.error < MOST_DOUBT

    @property
    def many(self) -> int:
        """How many changes are behind it."""
        return sum(self.changes.values())

    @property
    def behind(self) -> str:
        """Changes and players behind it, in words."""
        return f"{plural(self.many, 'change')} of {plural(self.players, 'player')}"

    def changes_of(self, part: str) -> int:
        """How many changes of a part of the stroke are behind it, of all habits together."""
        return self.changes[_group(part)]

    def least(self, part: str) -> bool:
        """Whether practice has brought a part nothing that shows, so that the least is taken."""
        return self.multiple(part) <= LEAST_STEP

    def multiple(self, part: str) -> float:
        """Of the assumed step, for a part of the stroke; a departure is turned like a habit."""
        return self.multiples[_group(part)]


def measured_steps(players: Mapping[str, Sequence[Brought]]) -> MeasuredSteps | None:
    """What practice has brought, or None while that is not enough to say.

    Enough are :data:`FEWEST_PLAYERS` players and a standard error below :data:`MOST_DOUBT` of the
    assumed step. A player's own changes are among them: one of several, which hardly moves the
    common figure.

    Parameters
    ----------
    players : mapping of str to sequence of Brought
        By player, from :func:`brought_by`.
    """
    found = pooled(players)
    return found if found is not None and found.enough else None


def pooled(players: Mapping[str, Sequence[Brought]]) -> MeasuredSteps | None:
    """What all changes say together, few or many; None without any.

    Normal at every level: a change about its part's multiple (by its error and by how far players
    differ), a part's about the common one, that about 1, the assumed step; and what comes back of
    itself in all. How far players differ is found by moments (DerSimonian & Laird 1986, from
    memory), at least :data:`PLAYERS_DIFFER`.
    """
    every = [each for some in players.values() for each in some]
    if not every:
        return None
    group = np.array([GROUPS.index(_group(each.part)) for each in every])
    steps = np.array([each.steps for each in every])
    variance = np.array([each.steps_error for each in every]) ** 2
    variance = variance + max(_between(group, steps, variance), PLAYERS_DIFFER**2)
    of_its_part = np.eye(len(GROUPS))[group]
    about_common = np.diag(variance) + PARTS_DIFFER**2 * of_its_part @ of_its_part.T
    weight = np.linalg.solve(about_common, np.ones(len(every)))
    shared = ASSUMED_DOUBT**2 + PARTS_DIFFER**2 * of_its_part
    about_assumed = about_common + ASSUMED_DOUBT**2 + CHOICE_DOUBT**2
    multiples = 1 + shared.T @ np.linalg.solve(about_assumed, steps - 1)
    return MeasuredSteps(
        {name: float(max(m, LEAST_STEP)) for name, m in zip(GROUPS, multiples, strict=True)},
        {name: int((group == at).sum()) for at, name in enumerate(GROUPS)},
        sum(bool(some) for some in players.values()),
        float(weight @ steps / weight.sum()),
        float(weight.sum() ** -0.5),
    )


def _group(part: str) -> str:
    return part if part in PART_OF.values() else _HABIT


def _between(group: np.ndarray, steps: Array, variance: Array) -> float:
    """Variance of true changes about their part's, by moments; negative where there is none."""
    off, freedom, scale = 0.0, 0, 0.0
    for at in np.unique(group):
        weight, here = 1 / variance[group == at], steps[group == at]
        off += float(weight @ (here - weight @ here / weight.sum()) ** 2)
        freedom += len(here) - 1
        scale += float(weight.sum() - (weight**2).sum() / weight.sum())
    return (off - freedom) / scale if freedom else 0.0

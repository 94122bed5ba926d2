"""Whether the putting of several players has changed since a day, all of them looked at together.

Looked at of each player: strokes gained a round, the three spreads of the stroke, and the habits
that are told before the day or since. Rounds before and since are fitted apart from each other. Who
looks at many figures of many players finds some that changed by luck: a change is told by the rule
of Holm over all of them (1979, *Scand. J. Statist.* 6, 65-70; from memory).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.inference.intervals import (
    HOLES_IN_A_ROUND,
    LEVEL,
    ROUNDS_FOR_AN_INTERVAL,
    t_below,
    t_quantile,
    welch_freedom,
)
from sgputt.practice.before_after import StrokesAround
from sgputt.season.scored import Scored
from sgputt.season.trend import spread_a_hole
from sgputt.stroke.causes import habit_sizes, told_habits
from sgputt.stroke.fitting import FittedStroke
from sgputt.stroke.player import PART_OF, times_as_wide
from sgputt.wording import plural, signed

# That any player is told of a change where nobody's putting has changed.
FALSE_ALARM = 0.05
STROKES = "strokes gained"
IMPROVED, WORSE, MIXED, UNKNOWN = "improved", "worse", "better and worse", "cannot tell"
# Sizes that are shown as 0.
_LEAST_DEGREES, _LEAST_SHARE = 0.05, 0.005
_PLACES = {
    "left to right": "on left-to-right putts ",
    "right to left": "on right-to-left putts ",
    "uphill": "uphill ",
    "downhill": "downhill ",
    "fast greens": "on fast greens ",
}


@dataclass(frozen=True)
class Looked:
    """One thing that was looked at.

    Attributes
    ----------
    what : str
        ``strokes gained``, ``read``, ``direction``, ``pace``, or ``habit``.
    words : str
        Before and since, in words.
    before, since : float
        Strokes gained a round; spreads, as many times as wide as a tour player's; habits with
        their sign, as :class:`sgputt.stroke.player.PuttingStroke` has them.
    better : bool
        Whether the change is for the better.
    by_luck : float
        Chance of a change as large, either way, where nothing has changed.
    told : bool
        Whether it is beyond luck, all that was looked at together.
    """

    what: str
    words: str
    before: float
    since: float
    better: bool
    by_luck: float
    told: bool = False

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "what": self.what,
            "words": self.words,
            "before": self.before,
            "since": self.since,
            "better": self.better,
            "chance_by_luck": self.by_luck,
            "told": self.told,
        }


@dataclass(frozen=True)
class Progress:
    """One player's putting before a day and since.

    Attributes
    ----------
    day : datetime.date
        Rounds of that day and earlier are before it.
    why_then : str
        What makes it the day, in words.
    before, since : float or None
        Strokes gained a round of 18 holes; None without a round.
    change, low, high : float or None
        Since less before, with its interval, for this player alone.
    would_show : float or None
        Change of strokes gained a round that would be told, by its standard error.
    looked_at : tuple of Looked
        Empty where there are too few rounds.
    """

    day: dt.date
    why_then: str
    rounds_before: int
    rounds_since: int
    before: float | None = None
    since: float | None = None
    change: float | None = None
    low: float | None = None
    high: float | None = None
    would_show: float | None = None
    looked_at: tuple[Looked, ...] = ()

    @property
    def told(self) -> list[Looked]:
        """What changed beyond luck."""
        return [each for each in self.looked_at if each.told]

    @property
    def verdict(self) -> str:
        """``improved``, ``worse``, ``better and worse`` or ``cannot tell``."""
        ways = {each.better for each in self.told}
        if len(ways) > 1:
            return MIXED
        if not ways:
            return UNKNOWN
        better = ways.pop()
        # A part of the stroke is not held against strokes that went the other way.
        against = self.high is not None and self.high < 0 if better else (self.low or 0) > 0
        return MIXED if against else IMPROVED if better else WORSE

    @property
    def words(self) -> str:
        """What changed, or why nothing can be told; a sentence without its end."""
        if self.told:
            return "; ".join(each.words for each in self.told)
        if not self.looked_at:
            rounds = f"{plural(self.rounds_before, 'round')} before and {self.rounds_since} since"
            return f"{rounds}: it takes {ROUNDS_FOR_AN_INTERVAL} of each at least"
        return "nothing that luck could not do"

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        return {
            "day": str(self.day),
            "why_then": self.why_then,
            "rounds_before": self.rounds_before,
            "rounds_since": self.rounds_since,
            "strokes_gained_before": self.before,
            "strokes_gained_since": self.since,
            "change": self.change,
            "low": self.low,
            "high": self.high,
            "would_show": self.would_show,
            "verdict": self.verdict,
            "words": self.words,
            "looked_at": [each.as_dict() for each in self.looked_at],
        }


def day_of_change(
    sessions: pl.DataFrame, holes: pl.DataFrame, others: dt.date | None
) -> tuple[dt.date, str]:
    """The day from which a player's putting is held against before, and what makes it that.

    The first set of a drill logged; without any the others' first; without these the middle of the
    player's rounds.

    Parameters
    ----------
    sessions : polars.DataFrame
        The player's practice log, of :data:`sgputt.practice.session.SESSIONS_SCHEMA`.
    holes : polars.DataFrame
        Holes played, with their dates.
    others : datetime.date, optional
        First day that anybody logged a set.
    """
    first = sessions["date"].min()
    if isinstance(first, dt.date):
        return first, "the first set logged"
    if others is not None:
        return others, "the first set logged by anybody"
    days = holes["date"].unique().sort()
    return days[(len(days) - 1) // 2], "the middle of the rounds"


def progress_since(
    scored: Scored,
    day: dt.date,
    why_then: str,
    level: float = LEVEL,
    strokes: StrokesAround | None = None,
) -> Progress:
    """Look at one player's putting before a day and since; nothing is told yet.

    Parameters
    ----------
    scored : Scored
        Rounds of one player.
    day : datetime.date
    why_then : str
    level : float
        Coverage aimed at by the interval.
    strokes : StrokesAround, optional
        Of the putts of ``scored``, where others ask for the same fits.
    """
    earlier = pl.col("date") <= day
    parts = [scored.rounds.filter(earlier), scored.rounds.filter(~earlier)]
    counts = [each.height for each in parts]
    holes = [int(each["holes"].sum()) for each in parts]
    before, since = (
        HOLES_IN_A_ROUND * float(each["strokes_gained"].sum()) / many if many else None
        for each, many in zip(parts, holes, strict=True)
    )
    plain = Progress(day, why_then, counts[0], counts[1], before, since)
    if before is None or since is None or min(counts) < ROUNDS_FOR_AN_INTERVAL:
        return plain
    change = since - before
    # A few rounds say too little of their own spread: that of all rounds is taken.
    spread, freedom = spread_a_hole(scored)
    error = spread * HOLES_IN_A_ROUND * float(np.sqrt(1 / holes[0] + 1 / holes[1]))
    reach = float(t_quantile((1 + level) / 2, freedom)) * error
    gained = Looked(
        STROKES,
        f"strokes gained {signed(before, 1)} before, {signed(since, 1)} since, which allows for the"
        " lengths of putts but not for other greens",
        before,
        since,
        since > before,
        2 * float(t_below(-abs(change) / error, freedom)),
    )
    return replace(
        plain,
        change=change,
        low=change - reach,
        high=change + reach,
        would_show=error,
        looked_at=(gained, *_stroke_changes(strokes or StrokesAround(scored.gained), day)),
    )


def _stroke_changes(strokes: StrokesAround, day: dt.date) -> list[Looked]:
    """Spreads and told habits before and since; none where the putts are too few for a fit."""
    early, late = strokes.at(day)
    if early is None or late is None:
        return []
    putts = strokes.parts(day)
    found = [_spread_change(cause, part, early, late) for cause, part in PART_OF.items()]
    places = told_habits(early, putts[0]) | told_habits(late, putts[1])
    sizes = [habit_sizes(fit, each) for fit, each in zip((early, late), putts, strict=True)]
    for kind, place in sorted(places):
        (before, doubt), (since, other) = (each[kind, place] for each in sizes)
        smaller = abs(before) - abs(since)
        sized = [_size_words(kind, value) for value in (before, since)]
        words = f"{_PLACES.get(place, '')}{sized[0]} before, {sized[1]} since"
        doubts = doubts_of_habits((early, doubt), (late, other))
        by_luck = _either_way(smaller, doubts, (early, late))
        found.append(Looked("habit", words, before, since, smaller > 0, by_luck))
    return found


def doubts_of_habits(
    first: tuple[FittedStroke, float], second: tuple[FittedStroke, float]
) -> tuple[float, float]:
    """Standard errors of a habit's sizes in two fits.

    Where few rounds tell no habit, the fit takes none for likely and is sure of that. The fit to
    fewer putts is no surer than the other would be of as few.

    Parameters
    ----------
    first, second : (FittedStroke, float)
        The fits, and the standard error that each gives.
    """
    (one, error), (other, as_well) = first, second
    fewer = float(np.sqrt(one.putts / other.putts))
    if fewer > 1:
        return error, max(as_well, error * fewer)
    return max(error, as_well / fewer), as_well


def _spread_change(cause: str, part: str, early: FittedStroke, late: FittedStroke) -> Looked:
    before, since = (times_as_wide(fit.stroke, part) for fit in (early, late))
    doubts = (early.error(part), late.error(part))
    words = f"{cause} {before:.1f} times as wide as a tour player's before, {since:.1f} since"
    by_luck = _either_way(float(np.log(before / since)), doubts, (early, late))
    return Looked(cause, words, before, since, since < before, by_luck)


def _either_way(
    change: float, doubts: tuple[float, float], fits: tuple[FittedStroke, FittedStroke]
) -> float:
    """Chance of a change as large either way by luck: Welch's, since errors rest on rounds too."""
    first, second = (np.array([each**2]) for each in doubts)
    rounds = [max(fit.rounds, ROUNDS_FOR_AN_INTERVAL) for fit in fits]
    freedom = welch_freedom(first, second, *rounds)
    return 2 * float(t_below(-abs(change) / np.sqrt(first + second), freedom)[0])


def _size_words(kind: str, value: float) -> str:
    """A habit's size, for which none is said where its figure would be 0."""
    least = _LEAST_DEGREES if kind == "degrees" else _LEAST_SHARE
    if abs(value) < least:
        return "none"
    if kind == "break":
        return f"{100 * abs(value):.0f} % too {'little' if value > 0 else 'much'} break"
    if kind == "degrees":
        return f"{abs(value):.1f} degrees {'left' if value > 0 else 'right'}"
    return f"{100 * abs(value):.0f} % {'long' if value > 0 else 'short'}"


def told_together(players: Mapping[str, Progress]) -> dict[str, Progress]:
    """The same with what is told from luck, all players and figures looked at together.

    Holm's rule with weights.

    Parameters
    ----------
    players : mapping of str to Progress
        By name, from :func:`progress_since`.
    """
    every = [
        (name, at, each)
        for name, progress in players.items()
        for at, each in enumerate(progress.looked_at)
    ]
    # Half of the doubt is for strokes gained, of which a player has one, half for all the rest.
    sums = sum(each.what == STROKES for _, _, each in every)
    weights = {True: 0.5 / max(sums, 1), False: 0.5 / max(len(every) - sums, 1)}
    left = sum(weights[each.what == STROKES] for _, _, each in every)
    strictest = -float(ndtri(FALSE_ALARM * weights[True] / max(left, weights[True]) / 2))
    told = set()
    for name, at, each in sorted(
        every, key=lambda one: one[2].by_luck / weights[one[2].what == STROKES]
    ):
        weight = weights[each.what == STROKES]
        if each.by_luck > FALSE_ALARM * weight / left:
            break
        told.add((name, at))
        left -= weight
    return {
        name: replace(
            progress,
            would_show=None if progress.would_show is None else strictest * progress.would_show,
            looked_at=tuple(
                replace(each, told=(name, at) in told) for at, each in enumerate(progress.looked_at)
            ),
        )
        for name, progress in players.items()
    }


def changes_in_words(players: Mapping[str, Progress]) -> str:
    """Who has improved, who got worse, and of how many nothing can be told, in a sentence."""
    parts = []
    for verdict in (IMPROVED, WORSE, MIXED):
        names = [name for name, each in players.items() if each.verdict == verdict]
        if names:
            parts.append(f"{verdict}: {', '.join(names)}")
    unknown = sum(each.verdict == UNKNOWN for each in players.values())
    if not parts:
        return "Whether anybody's putting has changed cannot be told yet."
    rest = f"; of {unknown} more it cannot be told" if unknown else ""
    whole = "; ".join(parts)
    return f"{whole[0].upper()}{whole[1:]}{rest}."

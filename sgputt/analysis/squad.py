"""A squad: the analyses of its players, and what they have in common."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import polars as pl

from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.shown import Shown
from sgputt.errors import TooFewError
from sgputt.inference.intervals import LEVEL
from sgputt.practice.brought import (
    FEWEST_PLAYERS,
    FEWEST_SETS,
    MeasuredSteps,
    measured_steps,
)
from sgputt.practice.decision import Decision
from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.progress import Progress, day_of_change, told_together
from sgputt.practice.squad import Squad, squad_summary
from sgputt.season.scored import Scored


@dataclass(frozen=True)
class SquadAnalysis(Shown):
    """Everything that the rounds of several players have to say; made by :func:`analyse_squad`.

    Attributes
    ----------
    players : dict of SeasonAnalysis
        By name.
    drills : tuple of Drill
    absent : tuple of str
        Players of whom there is no round among those asked for.
    changed_since : datetime.date, optional
        Day from which putting is held against before; each player's own unless given.
    """

    players: dict[str, SeasonAnalysis]
    drills: tuple[Drill, ...]
    absent: tuple[str, ...] = ()
    changed_since: dt.date | None = None

    @cached_property
    def progress(self) -> dict[str, Progress]:
        """Whether the putting of each has changed, all players looked at together."""
        logged = [each.sessions["date"].min() for each in self.players.values()]
        first = min((day for day in logged if isinstance(day, dt.date)), default=None)
        found = {}
        for name, each in self.players.items():
            if self.changed_since is not None:
                day, why = self.changed_since - dt.timedelta(days=1), "as asked for"
            elif first is None or each.sessions.height:
                found[name] = each.progress
                continue
            else:
                day, why = day_of_change(each.sessions, each.scored.holes, first)
            found[name] = each.progress_since(day, why)
        return told_together(found)

    @cached_property
    def measured(self) -> MeasuredSteps | None:
        """What practice has brought: in the archive where that is given, else these players.

        None while it is not enough to take the place of the assumed step.
        """
        given = next((each.measured for each in self.players.values() if each.measured), None)
        logging = {
            name: each for name, each in self.players.items() if each.sessions.height >= FEWEST_SETS
        }
        # Fits take long, and fewer players would not be enough whatever these say.
        if given is not None or len(logging) < FEWEST_PLAYERS:
            return given
        return measured_steps({name: each.brought for name, each in logging.items()})

    @cached_property
    def decisions(self) -> dict[str, Decision]:
        """What each should practise, by what practice has brought where that is known."""
        if self.measured is None:
            return {name: each.decision for name, each in self.players.items()}
        return {
            name: each.decision if each.measured else each.decide(measured=self.measured)
            for name, each in self.players.items()
        }

    @cached_property
    def squad(self) -> Squad:
        """Who loses where, what each should practise first, and which drills serve several."""
        summaries = [each.summary for each in self.players.values()]
        return squad_summary(summaries, self.decisions, self.drills, self.progress)

    def as_dict(self) -> dict[str, Any]:
        """The JSON of a squad, which scripts may rely on: plain values only."""
        return self.squad.as_dict(self.absent)


def analyse_squad(
    players: Mapping[str, Scored],
    drills: Sequence[Drill] | None = None,
    sessions: Mapping[str, pl.DataFrame] | None = None,
    absent: Sequence[str] = (),
    level: float = LEVEL,
    changed_since: dt.date | None = None,
    measured: MeasuredSteps | None = None,
) -> SquadAnalysis:
    """Analyse the rounds of several players.

    Parameters
    ----------
    players : mapping of str to Scored
        Each player's rounds, all scored against the same baseline.
    drills : sequence of Drill, optional
        The catalogue unless given.
    sessions : mapping of str to polars.DataFrame, optional
        Sets of drills practised, by player.
    absent : sequence of str
        Players without a round among those asked for, to be named.
    level : float
        Coverage aimed at by every interval.
    changed_since : datetime.date, optional
        Day from which putting is held against before. Unless given: each player's first logged set,
        else that of anybody, else the middle of the rounds.
    measured : MeasuredSteps, optional
        What practice has brought in the archive; unless given, what it has brought these players,
        once that is enough.

    Raises
    ------
    TooFewError
        There is no player.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> scored = sgputt.score(demo_season(), sgputt.get_baseline())
    >>> squad = sgputt.analyse_squad({"Mara Lindqvist": scored, "Ada Brook": scored})
    >>> list(squad.players)
    ['Mara Lindqvist', 'Ada Brook']
    """
    if not players:
        raise TooFewError("There is no player.", "Store rounds with: sgputt import FILE")
    known = tuple(load_drills() if drills is None else drills)
    practised = sessions or {}
    return SquadAnalysis(
        {
            name: analyse(scored, name, None, known, practised.get(name), level, measured)
            for name, scored in players.items()
        },
        known,
        tuple(absent),
        changed_since,
    )

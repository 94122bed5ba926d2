"""A squad: the analyses of its players, and what they have in common."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import polars as pl

from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.shown import Shown
from sgputt.errors import TooFewError
from sgputt.inference.intervals import LEVEL
from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.peers import PeerRecord, with_a_say
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
    def squad(self) -> Squad:
        """Who loses where, what each should practise first, and which drills serve several."""
        summaries = [each.summary for each in self.players.values()]
        decisions = {name: each.decision for name, each in self.players.items()}
        return squad_summary(summaries, decisions, self.drills, self.progress)

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
    others: Mapping[str, Callable[[], Mapping[str, PeerRecord]]] | None = None,
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
    others : mapping of str to callable, optional
        By player what gives the records of the others, such as
        :class:`sgputt.analysis.peers.StoredRecords`; those of these players unless given.

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
    found: dict[str, SeasonAnalysis] = {}
    for name, scored in players.items():
        asked = others[name] if others else partial(_records, found, name)
        found[name] = analyse(scored, name, None, known, practised.get(name), level, asked)
    return SquadAnalysis(found, known, tuple(absent), changed_since)


def _records(players: Mapping[str, SeasonAnalysis], player: str) -> dict[str, PeerRecord]:
    rounds = {name: each.rounds for name, each in players.items()}
    practised = [name for name, each in players.items() if each.sessions.height]
    return {name: players[name].record for name in with_a_say(rounds, practised, player)}

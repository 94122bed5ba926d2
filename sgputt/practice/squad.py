"""A squad: who loses where, what each should practise first, and which drills serve several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.errors import TooFewError
from sgputt.inference.cells import ANY, FEWEST_PUTTS, SURE
from sgputt.inference.intervals import LEVEL, MOST_ROUNDS, t_quantile
from sgputt.practice.aim import aim_of
from sgputt.practice.drills import Drill
from sgputt.practice.priorities import (
    REACHABLE_SHARE,
    Priority,
    Row,
    best_drill,
    rank_priorities,
    ranked_losses,
)
from sgputt.putts.bands import LABELS
from sgputt.season.scored import Scored
from sgputt.season.summary import Estimate, SeasonSummary, season_summary

# A player's strokes gained a round is called known when its interval reaches no further than this
# to either side. A judgement: players of a squad differ by about as much.
KNOWN_WITHIN = 1.0
MOST_DRILLS = 5
# Less than this, strokes a round, is not called serving a player.
SERVES = 0.02

_Cell = tuple[str, str]


@dataclass(frozen=True)
class Member:
    """One player of the squad; strokes gained a round of 18 holes, positive is good.

    Attributes
    ----------
    strokes_gained, holing, leave, not_split : Estimate
        With resampling intervals.
    few_rounds : bool
        Whether the interval of ``strokes_gained`` reaches further than :data:`KNOWN_WITHIN`, or
        there is one round only.
    more_rounds : int or None
        More rounds after which it would not; None when it does not now, from one round, or when
        a thousand would not do.
    first : Priority or None
        First priority; None where no loss shows.
    """

    player: str
    rounds: int
    holes: int
    putts: int
    strokes_gained: Estimate
    holing: Estimate
    leave: Estimate
    not_split: Estimate
    few_rounds: bool
    more_rounds: int | None
    first: Priority | None

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        parts = ("strokes_gained", "holing", "leave", "not_split")
        return {
            "player": self.player,
            "rounds": self.rounds,
            "holes": self.holes,
            "putts": self.putts,
            **{f"{name}_per_round": asdict(getattr(self, name)) for name in parts},
            "few_rounds": self.few_rounds,
            "more_rounds": self.more_rounds,
            "first_priority": None if self.first is None else self.first.as_dict(),
        }


@dataclass(frozen=True)
class SharedDrill:
    """A drill and what it is worth to the squad, strokes a round.

    Attributes
    ----------
    cells : tuple of (str, str)
        Distance bands and components it is chosen for.
    worth_per_round : float
        Summed over ``players``.
    players : dict of float
        Worth to each player it serves, most first: the reachable share of what it trains of the
        player's shrunk losses in ``cells``.
    sure : tuple of str
        Those of ``players`` with a loss in ``cells`` that can be told from luck.
    """

    rank: int
    drill: Drill
    cells: tuple[tuple[str, str], ...]
    worth_per_round: float
    players: dict[str, float]
    sure: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        return {
            "rank": self.rank,
            "drill": self.drill.id,
            "drill_name": self.drill.name,
            "minutes": self.drill.minutes,
            "cells": [{"distance": cell[0], "component": cell[1]} for cell in self.cells],
            "worth_per_round": self.worth_per_round,
            "sure": list(self.sure),
            "players": [
                {"player": name, "worth_per_round": gain} for name, gain in self.players.items()
            ],
        }


@dataclass(frozen=True)
class Squad:
    """All players of an archive.

    Attributes
    ----------
    against : Baseline
    members : list of Member
        Most strokes gained first.
    losses : polars.DataFrame
        ``player`` and the columns of :func:`sgputt.inference.cells.cell_table` for whole bands:
        one row a player, distance band and component with a putt, in the order of ``members``.
        ``shrunk_per_round`` is strokes gained, so losses are negative. ``sure``, behind them: a
        loss that can be told from luck, 19 chances in 20 from ten putts or more.
    drills : list of SharedDrill
        By worth to players whose loss can be told from luck, then to all. For each
        band and component one drill is chosen for all who lose there, by the same whole bands as
        ``losses`` shows; so each loss of each player counts once in the whole list.
    """

    against: Baseline
    members: list[Member]
    losses: pl.DataFrame
    drills: list[SharedDrill]

    def as_dict(self, absent: Sequence[str] = ()) -> dict[str, Any]:
        """Its JSON, which scripts may rely on; ``absent``: players without a round."""
        return {
            "baseline": self.against.name,
            "baseline_approximate": self.against.approximate,
            "players": [each.as_dict() for each in self.members],
            "absent": list(absent),
            "losses": self.losses.to_dicts(),
            "drills": [each.as_dict() for each in self.drills],
        }


def squad_summary(
    players: Mapping[str, Scored],
    drills: Sequence[Drill],
    most: int = MOST_DRILLS,
    level: float = LEVEL,
) -> Squad:
    """Sum up a squad.

    Parameters
    ----------
    players : mapping of str to Scored
        Each player's rounds, all scored against the same baseline.
    drills : sequence of Drill
    most : int
        Length of the list of drills; it is shorter when fewer add anything.
    level : float
        Coverage aimed at by every interval.

    Raises
    ------
    TooFewError
        There is no player.
    """
    if not players:
        raise TooFewError("There is no player.", "Store rounds with: sgputt import FILE")
    seasons = [season_summary(scored, name, "", level) for name, scored in players.items()]
    seasons.sort(key=lambda each: (-each.strokes_gained.value, each.player))
    return Squad(
        against=seasons[0].against,
        members=[_member(each, players[each.player], drills) for each in seasons],
        losses=_losses(seasons),
        drills=_shared({each.player: _band_losses(each.cells) for each in seasons}, drills, most),
    )


def _member(summary: SeasonSummary, scored: Scored, drills: Sequence[Drill]) -> Member:
    aim = aim_of(scored.gained)
    wishes = rank_priorities(summary.cells, drills, target=aim.target, most=1, own=aim.own)
    few, more = _rounds_wanted(summary.strokes_gained, summary.rounds)
    return Member(
        player=summary.player,
        rounds=summary.rounds,
        holes=summary.holes,
        putts=summary.putts,
        strokes_gained=summary.strokes_gained,
        holing=summary.holing,
        leave=summary.leave,
        not_split=summary.not_split,
        few_rounds=few,
        more_rounds=more,
        first=wishes[0] if wishes else None,
    )


def _rounds_wanted(gained: Estimate, rounds: int) -> tuple[bool, int | None]:
    """Whether rounds are too few, and how many more narrow the interval enough.

    Its reach goes as Student's t over the square root of the rounds.
    """
    if gained.low is None or gained.high is None:
        return True, None
    reach = (gained.high - gained.low) / 2
    if reach <= KNOWN_WITHIN:
        return False, None
    after = rounds + np.arange(1, MOST_ROUNDS + 1)
    tail = (1 + gained.level) / 2
    shrinks = t_quantile(tail, after - 1) / t_quantile(tail, rounds - 1)
    enough = np.flatnonzero(reach * shrinks * np.sqrt(rounds / after) <= KNOWN_WITHIN)
    return True, int(enough[0]) + 1 if len(enough) else None


def _losses(seasons: Sequence[SeasonSummary]) -> pl.DataFrame:
    tables = [
        each.cells.filter(pl.col("slope") == ANY).select(
            pl.lit(each.player).alias("player"),
            pl.all().exclude("slope"),
            ((pl.col("chance_of_loss") >= SURE) & (pl.col("putts") >= FEWEST_PUTTS)).alias("sure"),
        )
        for each in seasons
    ]
    return pl.concat(tables)


def _band_losses(cells: pl.DataFrame) -> list[Row]:
    return ranked_losses(cells.filter(pl.col("slope") == ANY))


def _is_sure(row: Row) -> bool:
    return bool(row["chance_of_loss"] >= SURE and row["putts"] >= FEWEST_PUTTS)


def _shared(
    lost: Mapping[str, Sequence[Row]], drills: Sequence[Drill], most: int
) -> list[SharedDrill]:
    losses: dict[_Cell, dict[str, Row]] = {}
    for player, rows in lost.items():
        for row in rows:
            losses.setdefault((row["distance"], row["component"]), {})[player] = row
    chosen: dict[str, tuple[Drill, list[_Cell]]] = {}
    for cell in losses:
        drill = best_drill(drills, cell[0], ANY, cell[1])
        if drill is not None:
            chosen.setdefault(drill.id, (drill, []))[1].append(cell)
    shared = [_shared_drill(drill, cells, losses) for drill, cells in chosen.values()]
    shared.sort(
        key=lambda each: (
            -sum(each.players[name] for name in each.sure),
            -each.worth_per_round,
            each.drill.minutes,
            each.drill.id,
        )
    )
    worth_it = [each for each in shared if each.players][:most]
    return [replace(each, rank=rank) for rank, each in enumerate(worth_it, 1)]


def _shared_drill(
    drill: Drill, cells: Sequence[_Cell], losses: Mapping[_Cell, Mapping[str, Row]]
) -> SharedDrill:
    worth: dict[str, float] = {}
    for cell in cells:
        for player, row in losses[cell].items():
            covered = drill.covers(row["distance"], row["slope"], row["component"])
            gain = -REACHABLE_SHARE * covered * row["shrunk_per_round"]
            worth[player] = worth.get(player, 0.0) + gain
    served = sorted(
        ((name, gain) for name, gain in worth.items() if gain >= SERVES),
        key=lambda pair: (-pair[1], pair[0]),
    )
    sure = tuple(
        name
        for name, _ in served
        if any(_is_sure(losses[c][name]) for c in cells if name in losses[c])
    )
    in_order = sorted(cells, key=lambda cell: (LABELS.index(cell[0]), cell[1]))
    together = sum(gain for _, gain in served)
    return SharedDrill(0, drill, tuple(in_order), together, dict(served), sure)

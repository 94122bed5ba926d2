"""A squad: who loses where, what each should practise first, and groups that share a need."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.errors import TooFewError
from sgputt.inference.cells import ANY, FEWEST_PUTTS, SURE
from sgputt.inference.intervals import MOST_ROUNDS, t_quantile
from sgputt.practice.decision import MOVED, Decision, Priority
from sgputt.practice.drills import Drill
from sgputt.practice.marks import PassMark, pass_mark
from sgputt.practice.progress import Progress, changes_in_words
from sgputt.season.summary import Estimate, SeasonSummary
from sgputt.wording import first_up, plural, worth_shown

# A player's strokes gained a round is called known when its interval reaches no further than this
# to either side. A judgement: players of a squad differ by about as much.
KNOWN_WITHIN = 1.0
# Minutes that a group works at a station of a squad session before it moves on.
STATION_MINUTES = 15
_TWO = 2


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
    decision : Decision
        What to practise, with the player's own marks.
    progress : Progress or None
        Whether the putting has changed since a day.
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
    decision: Decision
    progress: Progress | None = None

    @property
    def first(self) -> Priority | None:
        """First priority; None where there is no drill."""
        return self.decision.priorities[0] if self.decision.priorities else None

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
            "stands_out": self.decision.stands_out,
            "first_priority": None if self.first is None else self.first.as_dict(),
            "progress": None if self.progress is None else self.progress.as_dict(),
        }


@dataclass(frozen=True)
class Group:
    """Players who share a need, and the drill at their station in a session of the squad.

    Attributes
    ----------
    need : str
        In words: ``pace: short``, ``direction``; ``nothing stands out``.
    told : bool
        Whether the need of every one of them can be told from luck.
    drill : Drill
        The one that brings most to all of them together. As the catalogue has it; each player's own
        set-up is in ``marks``.
    worth_per_round : float
        Strokes a round, summed over ``players``.
    players : dict of float
        Worth to each, most first.
    marks : dict of PassMark
        Each player's own.
    firsts : dict of Priority
        What each should practise first alone.
    """

    rank: int
    need: str
    told: bool
    drill: Drill
    worth_per_round: float
    players: dict[str, float]
    marks: dict[str, PassMark]
    firsts: dict[str, Priority]

    def alone(self, name: str) -> Priority | None:
        """What a player should practise first alone, where that is another drill."""
        first = self.firsts[name]
        return None if first.drill.id == self.drill.id else first

    def set_up(self, name: str) -> str:
        """What a player sets up otherwise; why so is said where the drill is their own."""
        return self.marks[name].set_up.partition(":")[0].partition(", not")[0].removesuffix(".")

    def says(self, name: str) -> str:
        """Mark, set-up and worth of a player, and what should come first alone, in sentences."""
        alone = self.alone(name)
        return " ".join(
            [
                self.marks[name].text,
                *([f"{self.set_up(name)}."] if self.set_up(name) else []),
                f"Worth {worth_shown(self.players[name])} a round.",
                *([f"Alone, first: {alone.drill.name}."] if alone else []),
            ]
        )

    @property
    def shown(self) -> str:
        """The need as a golfer reads it: ``pace, short``."""
        return self.need.replace(": ", ", ")

    @property
    def title(self) -> str:
        """The need, and that several do one drill together."""
        many = len(self.players)
        if many == 1:
            return self.shown
        whom = "both" if many == _TWO else f"all {many}"
        return f"{self.shown}, one drill for {whom} at one station"

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        return {
            "rank": self.rank,
            "need": self.need,
            "told": self.told,
            "drill": self.drill.id,
            "drill_name": self.drill.name,
            "minutes": self.drill.minutes,
            "title": self.title,
            "worth_per_round": self.worth_per_round,
            "players": [
                {
                    "player": name,
                    "worth_per_round": gain,
                    "pass_mark": self.marks[name].text,
                    "set_up": self.set_up(name),
                    "first_alone": self.firsts[name].drill.id,
                    "first_alone_name": self.firsts[name].drill.name,
                }
                for name, gain in self.players.items()
            ],
        }


@dataclass(frozen=True)
class Turn:
    """Some minutes of a squad session: who is at which station, by the rank of its group."""

    minutes: int
    stations: dict[int, tuple[str, ...]]

    def at(self, group: Group) -> int:
        """Rank of the station where the players of a group are."""
        players = tuple(group.players)
        return next(rank for rank, names in self.stations.items() if names == players)


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
    groups : list of Group
        Needs that can be told first, then by worth. Every player is in one.
    """

    against: Baseline
    members: list[Member]
    losses: pl.DataFrame
    groups: list[Group]

    @property
    def progress(self) -> dict[str, Progress]:
        """Whether each player's putting has changed, by name; of those looked at."""
        return {each.player: each.progress for each in self.members if each.progress is not None}

    @property
    def one_day(self) -> dt.date | None:
        """The day from which putting is held against before, where it is the same for all."""
        days = {each.day for each in self.progress.values()}
        return days.pop() if len(days) == 1 else None

    @property
    def changes(self) -> str:
        """Who has improved and who got worse, in a sentence."""
        return changes_in_words(self.progress)

    @property
    def changes_meaning(self) -> str:
        """How far the sentence can be trusted, and what would show."""
        shown = [each.would_show for each in self.progress.values() if each.would_show is not None]
        many = plural(len(self.progress), "player")
        words = (
            f"Told from luck allowing for {many} and all that was looked at: where nobody has"
            " changed, 19 squads in 20 are told of nobody. Intervals (90 %) are each player's own."
        )
        if any(each.told for each in self.progress.values()):
            words += (
                " Needs and drills are those of all rounds: for who has changed, sgputt practice"
                " --since that day."
            )
        if not shown:
            return words
        least, most = f"{min(shown):.1f}", f"{max(shown):.1f}"
        reach = least if least == most else f"{least} to {most}"
        return (
            f"{words} In strokes gained a change of {reach} a round would show with these rounds."
        )

    @property
    def stations_meaning(self) -> str:
        """What the drill of a group is to each of them, where somebody's own first one differs."""
        if not any(group.alone(name) for group in self.groups for name in group.players):
            return ""
        return (
            "A station has the drill that brings most to its players together. Alone, each starts"
            " with a drill of their own: where it is another one, it stands with the player."
        )

    @property
    def worth_meaning(self) -> str:
        """What the worth of a drill says and does not."""
        step = self.members[0].decision.step_meaning
        found = [each.decision.measured for each in self.members if each.decision.measured]
        if found:
            most = max(found, key=lambda each: each.many)
            step = f"the step is {MOVED}: {most.behind}"
            rest = [each.player for each in self.members if each.decision.measured is None]
            step += f"; for {', '.join(rest)} it is assumed" if rest else ""
        return f"Worth: strokes a round if what a drill trains moves one step; {step}."

    @property
    def headline(self) -> str:
        """What is certain of the squad, in a sentence."""
        told = [group for group in self.groups if group.told]
        if not told:
            return (
                "Nothing stands out for any of the players yet: a default drill for each, and more"
                " rounds."
            )
        parts = [f"{group.shown}: {', '.join(group.players)}" for group in told]
        rest = len(self.members) - sum(len(group.players) for group in told)
        more = f"; of {rest} more nothing stands out" if rest else ""
        return first_up(f"{'; '.join(parts)}{more}.")

    def session(self, minutes: int = 60) -> list[Turn]:
        """A session of the squad: each group starts at its own station, then all move on.

        Parameters
        ----------
        minutes : int
            Of the session; it has a turn for every 15.
        """
        ranks = [group.rank for group in self.groups]
        turns = []
        for number in range(max(1, minutes // STATION_MINUTES)):
            stations: dict[int, tuple[str, ...]] = {}
            for at, group in enumerate(self.groups):
                # The second turn stays at the own station: that is what the group is here for.
                moved = max(0, number - 1)
                stations[ranks[(at + moved) % len(ranks)]] = tuple(group.players)
            turns.append(Turn(STATION_MINUTES, stations))
        return turns

    def as_dict(self, absent: Sequence[str] = ()) -> dict[str, Any]:
        """Its JSON, which scripts may rely on; ``absent``: players without a round."""
        return {
            "baseline": self.against.name,
            "baseline_approximate": self.against.approximate,
            "headline": self.headline,
            "players": [each.as_dict() for each in self.members],
            "absent": list(absent),
            "losses": self.losses.to_dicts(),
            "groups": [each.as_dict() for each in self.groups],
            "session": [
                {
                    "minutes": turn.minutes,
                    "stations": [
                        {"group": rank, "players": list(names)}
                        for rank, names in turn.stations.items()
                    ],
                }
                for turn in self.session()
            ],
            "changes": self.changes,
        }


def squad_summary(
    summaries: Sequence[SeasonSummary],
    decisions: Mapping[str, Decision],
    drills: Sequence[Drill],
    progress: Mapping[str, Progress] | None = None,
) -> Squad:
    """Sum up a squad.

    Parameters
    ----------
    summaries : sequence of SeasonSummary
        Each player's figures, all against the same baseline.
    decisions : mapping of str to Decision
        What each should practise, from :func:`sgputt.practice.decision.decide`.
    drills : sequence of Drill
    progress : mapping of str to Progress, optional
        Whether each player's putting has changed, told together.

    Raises
    ------
    TooFewError
        There is no player.
    """
    if not summaries:
        raise TooFewError("There is no player.", "Store rounds with: sgputt import FILE")
    seasons = sorted(summaries, key=lambda each: (-each.strokes_gained.value, each.player))
    return Squad(
        against=seasons[0].against,
        members=[
            _member(each, decisions[each.player], (progress or {}).get(each.player))
            for each in seasons
        ],
        losses=_losses(seasons),
        groups=_groups({each.player: decisions[each.player] for each in seasons}, drills),
    )


def _member(summary: SeasonSummary, decision: Decision, progress: Progress | None) -> Member:
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
        decision=decision,
        progress=progress,
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


_NOTHING = "nothing stands out"


def _groups(decisions: Mapping[str, Decision], drills: Sequence[Drill]) -> list[Group]:
    """Players by what stands out of each; of whom nothing does, together."""
    by_need: dict[str, dict[str, Priority]] = {}
    for player, decision in decisions.items():
        if decision.priorities:
            # Another drill may pay more than the one for what stands out; the group is for that.
            told = [each for each in decision.priorities if each.told]
            shared = told[0] if told else decision.priorities[0]
            habit = f": {shared.need.habit}" if shared.need.habit else ""
            need = f"{shared.need.cause}{habit}" if told else _NOTHING
            by_need.setdefault(need, {})[player] = shared
    by_id = {drill.id: drill for drill in drills}
    groups = [_group(need, shared, decisions, by_id) for need, shared in by_need.items()]
    groups.sort(key=lambda each: (not each.told, -each.worth_per_round, each.need))
    return [replace(each, rank=rank) for rank, each in enumerate(groups, 1)]


def _group(
    need: str,
    shared: Mapping[str, Priority],
    decisions: Mapping[str, Decision],
    drills: Mapping[str, Drill],
) -> Group:
    """The drill that one of them has for the need and that is worth most to all together."""

    def worth(drill: str, name: str) -> float:
        decision = decisions[name]
        if decision.worths:
            return sum(decision.worths.get(drill, {}).values())
        return sum(e.worth_per_round for e in decision.priorities if e.drill.id == drill)

    def together(drill: str) -> float:
        """Of those whose log does not let the drill rest."""
        return sum(worth(drill, name) for name in shared if not _rests(decisions[name], drill))

    best = max(sorted({each.drill.id for each in shared.values()}), key=together)
    gains = sorted(((name, worth(best, name)) for name in shared), key=lambda x: (-x[1], x[0]))
    marks = {}
    for name in shared:
        answer = decisions[name].answers.get(best)
        harder = answer.harder if answer else 0
        marks[name] = pass_mark(drills[best], decisions[name].known, harder)
    return Group(
        rank=0,
        need=need,
        told=need != _NOTHING,
        drill=drills[best],
        worth_per_round=sum(gain for _, gain in gains),
        players=dict(gains),
        marks=marks,
        firsts={name: decisions[name].priorities[0] for name in shared},
    )


def _rests(decision: Decision, drill: str) -> bool:
    answer = decision.answers.get(drill)
    return answer is not None and answer.rests

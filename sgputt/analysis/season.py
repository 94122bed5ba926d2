"""A season: everything that one player's rounds have to say."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

import polars as pl

from sgputt.analysis.rounds import years_of
from sgputt.analysis.shown import Shown
from sgputt.errors import TooFewError
from sgputt.inference.intervals import LEVEL
from sgputt.practice.before_after import StrokesAround
from sgputt.practice.brought import FEWEST_PLAYERS, MeasuredSteps, brought_by, measured_steps
from sgputt.practice.decision import Decision, Priority, decide
from sgputt.practice.departures import Shape, shape_of, surpluses
from sgputt.practice.drills import Drill, load_caution, load_drills
from sgputt.practice.log import SETS_TO_REST, DrillHistory, histories
from sgputt.practice.marks import PassMark
from sgputt.practice.peers import PeerRecord
from sgputt.practice.plan import Plan, make_plan
from sgputt.practice.progress import Progress, day_of_change, progress_since
from sgputt.practice.session import SESSIONS_SCHEMA
from sgputt.practice.transfer import Transfer, transfers
from sgputt.season.breakdown import BREAKDOWNS, gained_by
from sgputt.season.fairness import fair_table
from sgputt.season.makes_and_leaves import (
    baseline_curve,
    leaves_by_length,
    make_shares,
    miss_places,
)
from sgputt.season.scored import Scored
from sgputt.season.summary import PlainFigures, SeasonSummary, figures, season_summary
from sgputt.season.trend import WINDOW, RoundStory, best_rounds, trend, worst_rounds
from sgputt.stroke.causes import StrokeCauses, stroke_causes
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.fitting import FittedStroke, fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.stroke.population import MEAN_GRADE

# Rounds behind each mean of a long trend, as a share of all, so that its line stays readable.
_SMOOTHED_SHARE = 1 / 10


@dataclass(frozen=True)
class SeasonAnalysis(Shown):
    """Everything that some rounds of one player have to say; made by :func:`analyse`.

    Each part is worked out when it is first asked for, and once. Strokes are a round of 18 holes
    and positive is good, unless a part says otherwise.

    Attributes
    ----------
    scored : Scored
        The rounds, scored against a baseline.
    player, season : str
        Whose rounds they are, and which, as headings have it.
    drills : tuple of Drill
        Drills to choose from.
    sessions : polars.DataFrame
        Sets of drills practised, columns of :data:`sgputt.practice.session.SESSIONS_SCHEMA`.
    level : float
        Coverage aimed at by every interval.
    others : callable, optional
        Gives the records of the other players of the archive or squad by name, when they are asked
        for.
    """

    scored: Scored
    player: str
    season: str
    drills: tuple[Drill, ...]
    sessions: pl.DataFrame = field(repr=False)
    level: float = LEVEL
    others: Callable[[], Mapping[str, PeerRecord]] | None = field(default=None, repr=False)

    @property
    def rounds(self) -> int:
        """Rounds behind all of it."""
        return self.scored.rounds.height

    @property
    def counts(self) -> bool:
        """Whether any putt counts; else nothing can be said of the putting."""
        return self.summary.putts_counted > 0

    def work_out(self, *parts: str) -> None:
        """Work out parts before they are asked for: threads may share them, each part by one."""
        for part in parts:
            getattr(self, part)

    @cached_property
    def summary(self) -> SeasonSummary:
        """Strokes gained with intervals, by distance, and the cells of losses."""
        return season_summary(self.scored, self.player, self.season, self.level)

    @property
    def cells(self) -> pl.DataFrame:
        """Strokes gained by distance, slope and component, as played and shrunk."""
        return self.summary.cells

    @cached_property
    def figures(self) -> PlainFigures:
        """One-putts, three-putts, putts a round, feet holed."""
        return figures(self.scored, self.level)

    @cached_property
    def trend(self) -> pl.DataFrame:
        """Strokes gained round by round, with a rolling mean."""
        return trend(self.scored, level=self.level)

    @cached_property
    def smooth_trend(self) -> pl.DataFrame:
        """The trend with longer means where there are many rounds, to be drawn."""
        window = max(WINDOW, int(self.rounds * _SMOOTHED_SHARE))
        return self.trend if window == WINDOW else trend(self.scored, window, self.level)

    @cached_property
    def breakdowns(self) -> dict[str, pl.DataFrame]:
        """Strokes gained by what divides the rounds or putts, by the keys of BREAKDOWNS."""
        return {key: gained_by(self.scored, what, self.level) for key, what in BREAKDOWNS.items()}

    @cached_property
    def best(self) -> list[RoundStory]:
        """The best rounds and what made them so."""
        return best_rounds(self.scored)

    @cached_property
    def worst(self) -> list[RoundStory]:
        """The worst rounds and what made them so."""
        return worst_rounds(self.scored)

    @cached_property
    def makes(self) -> pl.DataFrame:
        """Share holed by length, beside the baseline's from the same places."""
        return make_shares(self.scored, self.level)

    @cached_property
    def baseline_curve(self) -> pl.DataFrame:
        """The baseline's share holed, a foot apart."""
        return baseline_curve(self.scored)

    @cached_property
    def leaves(self) -> pl.DataFrame:
        """How far first putts that missed were left, by length."""
        return leaves_by_length(self.scored)

    @cached_property
    def miss_places(self) -> pl.DataFrame:
        """Each miss whose place is known, spread by this player's stroke, for drawing."""
        return miss_places(self.scored, TOUR_STROKE if self.fit is None else self.fit.stroke)

    @cached_property
    def stroke(self) -> StrokeCauses:
        """The stroke in its causes: parts, habits, and what each miss was."""
        holes = int(self.scored.rounds["holes"].sum())
        return stroke_causes(self.scored.gained, holes, self.level, fit=self.fit)

    @cached_property
    def slopes(self) -> pl.DataFrame:
        """Strokes gained by slope, as played and fair to the harder putts."""
        return fair_table(self.scored, "slope", self.level, self._grade)

    @cached_property
    def breaks(self) -> pl.DataFrame:
        """Strokes gained by break, as played and fair to the harder putts."""
        return fair_table(self.scored, "break", self.level, self._grade)

    @property
    def _grade(self) -> float:
        """Mean grade of the greens, as the fit found it."""
        return MEAN_GRADE if self.fit is None else self.fit.grade

    @cached_property
    def fit(self) -> FittedStroke | None:
        """The player's stroke in its causes; None when too few putts tell one."""
        try:
            return fit_putting_stroke(self.scored.gained, level=self.level)
        except TooFewError:
            return None

    @cached_property
    def decision(self) -> Decision:
        """What to practise, whether it stands out, and what it is worth."""
        return self.decide()

    def decide(
        self,
        towards: tuple[str, PuttingStroke] | None = None,
        measured: MeasuredSteps | None = None,
    ) -> Decision:
        """What to practise, measured against a named stroke instead of one step better.

        ``measured``: what practice has brought, where it is not that of the analysis.
        """
        often = self.sessions["drill"].value_counts().filter(pl.col("count") >= SETS_TO_REST)
        shown = frozenset(
            each.drill.id
            for each in (self.transfers if often.height else [])
            if each.verdict == "improved"
        )
        return decide(
            self.scored.gained,
            self.scored.holes.height,
            self.fit,
            self.drills,
            self.sessions,
            towards,
            shown,
            measured or self.measured,
            self.shape,
        )

    @cached_property
    def peers(self) -> Mapping[str, PeerRecord]:
        """What the rounds of the other players of the archive or squad say, by name."""
        return {} if self.others is None else self.others()

    @property
    def shape(self) -> Shape:
        """What the others gain by place beyond what their strokes would."""
        return shape_of(each.surpluses for each in self.peers.values())

    @property
    def measured(self) -> MeasuredSteps | None:
        """What practice has brought them all; None while it is not enough to say."""
        brought = {name: each.brought for name, each in self.peers.items() if each.brought}
        # The player's own takes two fits more, and fewer would not do whatever it says.
        if len(brought) < FEWEST_PLAYERS - 1:
            return None
        return measured_steps({**brought, self.player: self.record.brought})

    @cached_property
    def record(self) -> PeerRecord:
        """What these rounds say to others."""
        brought = brought_by(self.sessions, self.drills, self.scored, self._strokes)
        if self.fit is None:
            return PeerRecord((), tuple(brought))
        own = expected_grid(self.fit.stroke, grade=self.fit.grade)
        found = surpluses(self.scored.gained, self.scored.holes.height, own)
        return PeerRecord(tuple(found), tuple(brought))

    @property
    def priorities(self) -> list[Priority]:
        """What to practise, in order."""
        return self.decision.priorities

    @property
    def marks(self) -> dict[str, PassMark]:
        """The player's pass mark of each drill among the priorities, by the drill's id."""
        return {each.drill.id: each.mark for each in self.priorities}

    def plan(self, minutes: int, sessions: int = 1) -> Plan:
        """Plan practice: a session, or a week of them."""
        return make_plan(self.decision, self.drills, minutes, sessions)

    @cached_property
    def practised(self) -> list[DrillHistory]:
        """Drills practised, with success rates against their marks."""
        return histories(self.sessions, self.level)

    @cached_property
    def transfers(self) -> list[Transfer]:
        """Whether each drill practised shows on the course."""
        return transfers(self.sessions, self.drills, self.scored, self.level, self._strokes)

    @cached_property
    def _strokes(self) -> StrokesAround:
        """The fits before and after days on which drills were taken up."""
        return StrokesAround(self.scored.gained)

    @cached_property
    def progress(self) -> Progress:
        """The putting before the first set was logged and since, where nothing is told yet.

        Without a log before and after the middle of the rounds.
        """
        return self.progress_since(*day_of_change(self.sessions, self.scored.holes, None))

    def progress_since(self, day: date, why_then: str) -> Progress:
        """The putting up to a day and since, where nothing is told yet."""
        return progress_since(self.scored, day, why_then, self.level, self._strokes)

    @property
    def caution(self) -> str:
        """A word of care for practice."""
        return load_caution()

    def as_dict(self) -> dict[str, Any]:
        """The JSON of a season, which scripts may rely on: plain values only."""
        summary = self.summary
        fair = self.breaks.select(pl.col("break").cast(pl.String), "fair_per_round")
        breaks = self.breakdowns["breaks"].rename({"label": "break"})
        return {
            "player": self.player,
            "season": self.season,
            "baseline": summary.against.name,
            "baseline_approximate": summary.against.approximate,
            "rounds": summary.rounds,
            "holes": summary.holes,
            "putts": summary.putts,
            "putts_per_round": summary.putts_per_round,
            "three_putts_per_round": summary.three_putts_per_round,
            "strokes_gained_per_round": asdict(summary.strokes_gained),
            "cells": self.cells.filter(pl.col("slope") != "unknown").to_dicts(),
            **{
                key: table.rename({"label": BREAKDOWNS[key]}).to_dicts()
                for key, table in self.breakdowns.items()
            },
            "breaks": breaks.join(fair, on="break", how="left", maintain_order="left").to_dicts(),
            "trend": self.trend.to_dicts(),
            "best": [each.as_dict() for each in self.best],
            "worst": [each.as_dict() for each in self.worst],
            "figures": self.figures.as_dict(),
            "slopes": self.slopes.to_dicts(),
            "stroke": self.stroke.as_dict(),
            "misses": [asdict(each) for each in self.stroke.misses],
            "priorities": [each.as_dict() for each in self.priorities],
        }


def analyse(
    scored: Scored,
    player: str | None = None,
    season: str | None = None,
    drills: Sequence[Drill] | None = None,
    sessions: pl.DataFrame | None = None,
    level: float = LEVEL,
    others: Callable[[], Mapping[str, PeerRecord]] | None = None,
) -> SeasonAnalysis:
    """Analyse the rounds of one player.

    Parameters
    ----------
    scored : Scored
        From :func:`sgputt.score`.
    player, season : str, optional
        Headings; the name and the years of the rounds unless given.
    drills : sequence of Drill, optional
        From :func:`sgputt.load_drills`; the catalogue unless given.
    sessions : polars.DataFrame, optional
        Sets of drills practised, as :func:`sgputt.practice.session.sessions_frame` makes them; none
        unless given.
    level : float
        Coverage aimed at by every interval.
    others : callable, optional
        Gives the records of other players by name, such as
        :class:`sgputt.analysis.peers.StoredRecords`: what they too gain or lose in some place is
        not this player's, and what practice has brought them all is what drills are worth. Without
        it the model alone says what is usual, and a step is assumed.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> season = sgputt.analyse(sgputt.score(demo_season(), sgputt.get_baseline()))
    >>> season.player, season.rounds
    ('Mara Lindqvist', 24)
    """
    return SeasonAnalysis(
        scored=scored,
        player=player or str(scored.holes["player"][0]),
        season=season or years_of(scored.holes),
        drills=tuple(load_drills() if drills is None else drills),
        sessions=pl.DataFrame(schema=SESSIONS_SCHEMA) if sessions is None else sessions,
        level=level,
        others=others,
    )

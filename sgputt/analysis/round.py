"""One round: its figures and its holes, beside what all rounds of its player say."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import polars as pl

from sgputt.analysis.season import SeasonAnalysis
from sgputt.analysis.shown import Shown
from sgputt.baseline.curve import Baseline
from sgputt.season.scored import Scored
from sgputt.season.summary import by_distance


@dataclass(frozen=True)
class RoundReport:
    """What a round says, in strokes gained against the baseline; positive is good.

    ``strokes_gained = holing + leave + not_split``; ``not_split`` is what could not be divided
    because a length was not written, ``conceded`` the gain by concessions, kept apart.

    Attributes
    ----------
    against : Baseline
        The players compared with.
    holes_table : polars.DataFrame
        ``hole, par, putts, first_putt_ft, strokes_gained, ending, left_out``.
    putts_table : polars.DataFrame
        The putts with their strokes gained.
    """

    round_id: int | None
    player: str
    date: date
    round: int
    course: str
    event: str | None
    against: Baseline
    holes: int
    putts: int
    strokes_gained: float
    holing: float
    leave: float
    not_split: float
    conceded: float
    left_out: int
    off_green: int
    holes_table: pl.DataFrame
    putts_table: pl.DataFrame


def round_report(scored: Scored) -> RoundReport:
    """Report the one round that ``scored`` holds."""
    facts = scored.rounds.row(0, named=True)
    table = scored.holes.select(
        "hole", "par", "putts", "first_putt_ft", "strokes_gained", "ending", "left_out"
    )
    return RoundReport(
        round_id=facts.get("round_id"),
        player=facts["player"],
        date=facts["date"],
        round=facts["round"],
        course=facts["course"],
        event=facts["event"],
        against=scored.baseline,
        holes=facts["holes"],
        putts=facts["putts"],
        strokes_gained=facts["strokes_gained"],
        holing=facts["holing"],
        leave=facts["leave"],
        not_split=facts["not_split"],
        conceded=facts["conceded"],
        left_out=int(scored.holes["left_out"].sum()),
        off_green=scored.gained.filter(pl.col("surface") == "off green").height,
        holes_table=table,
        putts_table=scored.gained,
    )


@dataclass(frozen=True)
class RoundAnalysis(Shown):
    """Everything that one round has to say; made by :func:`analyse_round`.

    Attributes
    ----------
    scored : Scored
        The round, scored against a baseline.
    season : SeasonAnalysis
        All rounds of its player: one round cannot say what to practise.
    """

    scored: Scored
    season: SeasonAnalysis

    @cached_property
    def report(self) -> RoundReport:
        """Its figures, its holes and its putts."""
        return round_report(self.scored)

    @cached_property
    def by_distance(self) -> pl.DataFrame:
        """Strokes gained by distance, as of 18 holes."""
        return by_distance(self.scored, self.season.level)

    @property
    def counts(self) -> bool:
        """Whether any putt of the round counts."""
        return bool(self.scored.gained["counts"].any())

    def as_dict(self) -> dict[str, Any]:
        """The JSON of a round, which scripts may rely on: plain values only."""
        report = self.report
        return {
            "round_id": report.round_id,
            "player": report.player,
            "date": str(report.date),
            "course": report.course,
            "holes": report.holes,
            "putts": report.putts,
            "strokes_gained": report.strokes_gained,
            "holing": report.holing,
            "leave": report.leave,
            "not_split": report.not_split,
            "conceded": report.conceded,
            "baseline": report.against.name,
            "baseline_approximate": report.against.approximate,
            "per_hole": report.holes_table.select(
                "hole", "putts", "first_putt_ft", "strokes_gained"
            ).to_dicts(),
        }


def analyse_round(scored: Scored, season: SeasonAnalysis) -> RoundAnalysis:
    """Analyse a round.

    Parameters
    ----------
    scored : Scored
        One round, from :func:`sgputt.score`.
    season : SeasonAnalysis
        All rounds of its player.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> season = sgputt.analyse(sgputt.score(demo_season(), sgputt.get_baseline()))
    >>> putts = demo_season().filter(pl.col("date") == pl.col("date").max())
    >>> one = sgputt.analyse_round(sgputt.score(putts, sgputt.get_baseline()), season)
    >>> one.scored.holes.height
    18
    """
    return RoundAnalysis(scored, season)

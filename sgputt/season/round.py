"""One round: its figures and its holes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.season.scored import Scored


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

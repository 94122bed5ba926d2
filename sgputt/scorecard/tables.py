"""Holes as read to the two tables: putts and holes."""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.scorecard.entries import HoleEntry, PuttEntry


def putts_table(holes: Iterable[HoleEntry], source: str) -> pl.DataFrame:
    """Putts of these holes, one row each, in the shape of the putts table."""
    rows = [row for hole in holes for row in _putt_rows(hole, source)]
    return pl.DataFrame(rows, schema=PUTTS_SCHEMA, orient="row")


def holes_table(holes: Iterable[HoleEntry]) -> pl.DataFrame:
    """Table of these holes, one row each, those without a putt among them."""
    rows = [(*_whose(hole), hole.ending) for hole in holes]
    return pl.DataFrame(rows, schema=HOLES_SCHEMA, orient="row")


def _whose(hole: HoleEntry) -> tuple[object, ...]:
    meta = hole.meta
    return (
        meta.player,
        meta.course,
        meta.event,
        meta.date,
        meta.round,
        hole.number,
        hole.par,
    )


def _putt_rows(hole: HoleEntry, source: str) -> Iterable[tuple[object, ...]]:
    whose = _whose(hole)
    for putt, following in hole.steps():
        yield (
            *whose,
            putt.number,
            putt.distance,
            _leave(putt, following),
            putt.result,
            putt.slope,
            putt.breaking,
            putt.miss_pace,
            putt.miss_side,
            putt.cause,
            putt.surface,
            putt.stimp_ft,
            putt.grade,
            source,
            putt.view.row.number,
        )


def _leave(putt: PuttEntry, following: PuttEntry | None) -> float | None:
    if putt.result == "holed":
        return 0.0
    if putt.result == "conceded":
        return None
    after = following.distance if following else None
    return putt.leave if after is None else after

"""Random putts tables: every shape of hole that a scorecard can hold."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import polars as pl
from hypothesis import strategies as st

from sgputt.putts.table import conform_putts

LENGTHS_FT = st.one_of(
    st.floats(0.1, 100.0, allow_nan=False),
    st.sampled_from([0.1, 0.5, 3.0, 5.0, 7.0, 10.0, 15.0, 25.0, 40.0, 99.9, 100.0]),
)
SLOPES = st.sampled_from(["uphill", "level", "downhill", "unknown"])
COLUMNS = ["player", "date", "round", "hole", "putt", "distance_ft", "leave_ft", "result"]
COLUMNS += ["slope", "surface"]


@st.composite
def plain_hole(draw: st.DrawFn) -> list[dict[str, Any]]:
    """All putts from the green, the last holed; later lengths may be unknown."""
    count = draw(st.integers(1, 5))
    lengths: list[float | None] = [draw(LENGTHS_FT)]
    lengths += [draw(st.none() | LENGTHS_FT) for _ in range(count - 1)]
    return putts_of(lengths, "holed", None, [draw(SLOPES) for _ in lengths], off_green=0)


@st.composite
def any_hole(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Also concessions, balls picked up, putts from off the green; no putt at all: chipped in."""
    count = draw(st.integers(0, 4))
    if count == 0:
        return []
    lengths: list[float | None] = [draw(LENGTHS_FT)]
    lengths += [draw(st.none() | LENGTHS_FT) for _ in range(count - 1)]
    result = draw(st.sampled_from(["holed", "holed", "conceded", "missed"]))
    left = draw(st.none() | LENGTHS_FT) if result == "missed" else None
    off_green = draw(st.sampled_from([0, 0, 0, 1, 2]))
    return putts_of(lengths, result, left, [draw(SLOPES) for _ in lengths], off_green)


def putts_of(
    lengths: list[float | None],
    result: str,
    left: float | None,
    slopes: list[str],
    off_green: int,
) -> list[dict[str, Any]]:
    rows = []
    for n, (length, slope) in enumerate(zip(lengths, slopes, strict=True)):
        last = n == len(lengths) - 1
        following = left if last else lengths[n + 1]
        rows.append(
            {
                "putt": n + 1,
                "distance_ft": length,
                "leave_ft": 0.0 if last and result == "holed" else following,
                "result": result if last else "missed",
                "slope": slope,
                "surface": "off green" if n < off_green else "green",
            }
        )
    return rows


@st.composite
def putts_table(draw: st.DrawFn, hole: st.SearchStrategy[list[dict[str, Any]]]) -> pl.DataFrame:
    """One to three rounds of a few holes, in the shape of the putts table; never empty."""
    rows: list[dict[str, Any]] = []
    for number in range(draw(st.integers(1, 3))):
        facts = {
            "player": draw(st.sampled_from(["Ada Brook", "Žofie Nø"])),
            "date": date(2026, 5, 3) + timedelta(days=number),
            "round": draw(st.sampled_from([1, 2])),
        }
        holes = draw(st.lists(hole, min_size=1, max_size=6))
        for at, putts in enumerate(holes, 1):
            rows += [{**facts, "hole": at, **putt} for putt in putts]
    if not rows:
        rows = [{"player": "Ada Brook", "date": date(2026, 5, 3), "round": 1, "hole": 1}]
        rows[0] |= putts_of([8.0], "holed", None, ["level"], off_green=0)[0]
    types = {"distance_ft": pl.Float64, "leave_ft": pl.Float64}
    return conform_putts(pl.DataFrame(rows, schema_overrides=types, infer_schema_length=None))

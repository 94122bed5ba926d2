"""Strokes gained a second time, the plain way: pandas, NumPy and loops.

Written from the definition, not from the engine. Nothing of the program is used but the figures in
data/reference/tour_baseline.csv; the bands are written out again.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from scipy.interpolate import PchipInterpolator

from sgputt.reference import reference_path

TABLE = pd.read_csv(reference_path("tour_baseline.csv"), comment="#")
CURVES = {
    name: PchipInterpolator(TABLE["distance_ft"], TABLE[name])
    for name in ("expected_putts", "one_putt", "leave_spread")
}
UPPER_FT = {
    "0-3 ft": 3,
    "3-5 ft": 5,
    "5-7 ft": 7,
    "7-10 ft": 10,
    "10-15 ft": 15,
    "15-25 ft": 25,
    "25-40 ft": 40,
    "40+ ft": 100,
}
SHORTEST_FT = 0.5
TAP_IN_FT = 2.0
KEY = ["player", "date", "round", "hole", "putt"]
GAINS = ["expected", "one_putt", "sg", "holing", "leave", "not_split", "conceded"]


def curve(name: str, distance_ft: float) -> float:
    return float(CURVES[name](max(distance_ft, SHORTEST_FT)))


def expected(distance_ft: float) -> float:
    return curve("expected_putts", distance_ft)


def after_miss(distance_ft: float) -> float:
    return (expected(distance_ft) - 1) / (1 - curve("one_putt", distance_ft))


def gains(putts: pd.DataFrame) -> pd.DataFrame:
    """A row a putt with its gains, NaN where unknown, in the order of the key."""
    rows: list[dict[str, Any]] = []
    for _, played in putts.sort_values(KEY).groupby(KEY[:3], sort=False):
        holes = [
            [{str(k): v for k, v in row.items()} for row in hole.to_dict("records")]
            for _, hole in played.groupby(KEY[3], sort=False)
        ]
        written = any(not np.isnan(putt["distance_ft"]) for hole in holes for putt in hole[1:])
        for hole in holes:
            rows += one_hole(hole, written)
    return pd.DataFrame(rows)


def one_hole(putts: list[dict[str, Any]], later_written: bool) -> list[dict[str, Any]]:
    starts = [n for n, putt in enumerate(putts) if n == 0 or not np.isnan(putt["distance_ft"])]
    rows = []
    for start, end in zip(starts, [*starts[1:], len(putts)], strict=True):
        rows += one_stretch(putts[start:end], later_written)
    return rows


def one_stretch(putts: list[dict[str, Any]], later_written: bool) -> list[dict[str, Any]]:
    """A putt of known length with the putts of unknown length that follow it."""
    rows = [blank(putt) for putt in putts]
    first, last, row = putts[0], putts[-1], rows[0]
    distance, left = first["distance_ft"], value_of_end(last)
    row["counts"] = bool(
        not np.isnan(distance)
        and first["surface"] == "green"
        and first["result"] != "conceded"
        and left is not None
    )
    if not row["counts"] or left is None:
        return rows
    made = first["result"] == "holed"
    row["holing"] = (made - row["one_putt"]) * after_miss(distance)
    gained = row["expected"] - len(putts) - left
    if len(putts) == 1:
        row["sg"] = gained
        row["leave"] = 0.0 if made else after_miss(distance) - left
        return rows
    row["not_split"] = gained - row["holing"]
    if len(putts) == 2 and last["result"] == "holed" and later_written:
        tap_in = expected(TAP_IN_FT)
        row["sg"] = row["expected"] - 1 - tap_in
        row["leave"] = after_miss(distance) - tap_in
        row["not_split"] -= row["leave"]
    return rows


def value_of_end(putt: dict[str, Any]) -> float | None:
    """Putts still expected when a stretch is over; None where nobody knows."""
    if putt["result"] in ("holed", "conceded"):
        return 0.0
    return None if np.isnan(putt["leave_ft"]) else expected(putt["leave_ft"])


def band_of(distance_ft: float) -> str:
    return next(band for band, upper in UPPER_FT.items() if distance_ft <= upper)


def blank(putt: dict[str, Any]) -> dict[str, Any]:
    distance, unknown = putt["distance_ft"], float("nan")
    known = not np.isnan(distance)
    row = {name: putt[name] for name in [*KEY, "slope", "result"]}
    row |= dict.fromkeys(["sg", "holing", "leave"], unknown)
    row["band"] = band_of(distance) if known else None
    row["expected"] = expected(distance) if known else unknown
    row["one_putt"] = curve("one_putt", distance) if known else unknown
    row["leave_spread"] = curve("leave_spread", distance) if known else unknown
    conceded = putt["result"] == "conceded" and known
    row["conceded"] = row["expected"] - 1 if conceded else 0.0
    return {
        **row,
        "counts": False,
        "sg": unknown,
        "holing": unknown,
        "leave": unknown,
        "not_split": 0.0,
    }


def sums(rows: pd.DataFrame) -> pd.DataFrame:
    """Sums by round, band and slope, of the putts that count."""
    used = rows[rows["counts"]].copy()
    missed = used["result"] == "missed"
    after = (used["expected"] - 1) / (1 - used["one_putt"])
    miss = 1 - used["one_putt"]
    used["putts"] = 1
    used["made"] = (~missed).astype(int)
    used["expected_made"] = used["one_putt"]
    used["misses"] = missed.astype(int)
    used["leaves_known"] = (missed & used["leave"].notna()).astype(int)
    used["strokes_gained"] = used["holing"] + used["leave"].fillna(0) + used["not_split"]
    used["holing_scale"] = used["one_putt"] * miss * after
    used["holing_variance"] = used["one_putt"] * miss * after**2
    used["leave_scale"] = miss * used["leave_spread"]
    used["leave_variance"] = miss * used["leave_spread"] ** 2
    names = ["putts", "made", "expected_made", "misses", "leaves_known", "strokes_gained"]
    names += ["holing", "leave", "not_split", "holing_scale", "holing_variance"]
    names += ["leave_scale", "leave_variance"]
    return used.groupby(["player", "date", "round", "band", "slope"], as_index=False)[names].sum()

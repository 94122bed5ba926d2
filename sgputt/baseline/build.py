"""Builds the baseline tables in ``data/reference/`` from the published figures beside them.

Run with ``python -m sgputt.baseline.build``; a test holds that rebuilding gives the same tables.
:data:`sgputt.stroke.player.TOUR_STROKE` and :data:`CLUB_STROKE` are the results of
:func:`fit_tour_stroke` and :func:`fit_club_stroke`, rounded; ``stroke_checks.csv`` lists what each
rests on and how far it is from it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import polars as pl
from scipy.interpolate import PchipInterpolator
from scipy.optimize import least_squares
from scipy.special import expit, logit

from sgputt.baseline.curve import GRID_FT, stroke_table
from sgputt.baseline.smooth import smooth_make_shares
from sgputt.physics.roll import Array
from sgputt.reference import CHECKOUT, read_table, read_values
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.player import CLUB_STROKE, TOUR_STROKE, PuttingStroke
from sgputt.stroke.station import Station, make_share, stops

_DIGITS = 9

_TOUR_NOTES = """\
# title: Tour baseline, expected putts by distance
# source: tour_2016_2018_makes.csv (Broadie 2018), tour_expected_putts.csv (Broadie 2012, 2014), \
the stroke model
# method: one_putt is a monotone smooth through the open counts and, from 4 to 10 ft, the \
published one-putt shares at the weight of 30,000 putts each (the counts alone lie up to 0.015 \
below these); what comes after a miss is that of the tour's stroke on the usual greens; what the \
stroke rests on stands in stroke_checks.csv
# era: 2016-2018
# status: worked out by sgputt.baseline.build; not published
# units: feet; shares from 0 to 1; putts
# limits: beyond 75 ft there are no data and the curve is carried on; beyond 45 ft expected putts \
are up to 0.03 and three-putts up to 3 in 100 too low
"""
_TOUR_1988_NOTES = """\
# title: Tour baseline of 1988, expected putts by distance
# source: tour_1988_makes.csv (Berry 1996; Gelman & Nolan 2002), the stroke model
# method: one_putt is a monotone smooth through the counts from 2 to 20 ft and the tour's stroke \
beyond them, shifted to meet it; what comes after a miss is that of the tour's stroke
# era: 1988, flat greens
# status: worked out by sgputt.baseline.build; not published
# units: feet; shares from 0 to 1; putts
# limits: counts only from 2 to 20 ft; beyond, the model alone
"""
_CLUB_NOTES = """\
# title: Club baseline (a 90-shooter, approximate), expected putts by distance
# source: amateur_one_putt.csv and amateur_facts.csv (second hand), the stroke model
# method: one_putt is a monotone smooth through the published shares and a stroke fitted to them \
beyond, shifted to meet it (its pace spread the tour's times 8.5 / 6.5, its read spread grown as \
its direction); what comes after a miss is that of this stroke
# era: about 2008-2014
# status: worked out by sgputt.baseline.build; not published. No published table of expected \
putts exists for these players
# units: feet; shares from 0 to 1; putts
# limits: shares only from 3 to 30 ft, to whole per cents; beyond, the model alone
"""
_CHECKS_NOTES = """\
# title: What the tour's and the club's stroke rest on, and how far they are from it
# source: the file named in each row, with its own source and status there
# method: the stroke model of sgputt.stroke on the usual greens: grades gamma about 1.8 %, stimp 10
# status: published values as in the file named; the model's worked out by sgputt.baseline.build
# units: feet; shares from 0 to 1; putts
"""
# Putts that a published share stands for beside counts: chosen so that expected putts keep within
# 0.01 of the published averages, which the counts alone do not at 5 and 7 ft.
_PUBLISHED_TRIES = 30_000
_PUBLISHED_FROM_FT, _PUBLISHED_TO_FT = 4.0, 10.0
# Putts that each published share of the 90-shooter is weighed with: no count is published.
_ASSUMED_TRIES = 1000
# Putts that the model's shares beyond the published lengths are weighed with.
_MODEL_TRIES = 300
_BEYOND_FT: Array = np.array([0.5, 1.0, 1.5, 2.0, 25.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0])
_STIFF = 10.0


def tour_table() -> pl.DataFrame:
    """Tour baseline: measured make shares, what follows from the tour's stroke."""
    counts = read_table("tour_2016_2018_makes.csv").select("distance_ft", "tries", "holed")
    published = (
        read_table("tour_expected_putts.csv")
        .filter(pl.col("distance_ft").is_between(_PUBLISHED_FROM_FT, _PUBLISHED_TO_FT))
        .select(
            "distance_ft",
            tries=pl.lit(_PUBLISHED_TRIES, dtype=pl.Float64),
            holed=pl.col("one_putt_share") * _PUBLISHED_TRIES,
        )
    )
    both = pl.concat([counts.cast(pl.Float64), published]).sort("distance_ft")
    return _rounded(stroke_table(TOUR_STROKE, _smooth(both)))


def tour_1988_table() -> pl.DataFrame:
    """Tour baseline of 1988."""
    counts = read_table("tour_1988_makes.csv").select("distance_ft", "tries", "holed")
    return _rounded(stroke_table(TOUR_STROKE, _smooth_and_beyond(counts, TOUR_STROKE)))


def club_table() -> pl.DataFrame:
    """Club baseline: a 90-shooter's one-putt shares, what follows from a stroke fitted to them."""
    return _rounded(stroke_table(CLUB_STROKE, _smooth_and_beyond(_club_counts(), CLUB_STROKE)))


def _club_counts() -> pl.DataFrame:
    return read_table("amateur_one_putt.csv").select(
        "distance_ft",
        tries=pl.lit(_ASSUMED_TRIES, dtype=pl.Float64),
        holed=pl.col("one_putt_share") * _ASSUMED_TRIES,
    )


def _smooth(counts: pl.DataFrame, stiffness: float = 1.0) -> Array:
    length, tries, holed = (counts[name].to_numpy() for name in ("distance_ft", "tries", "holed"))
    return smooth_make_shares(length, tries, holed, GRID_FT, stiffness)


def _smooth_and_beyond(counts: pl.DataFrame, stroke: PuttingStroke) -> Array:
    """A smooth through counts, carried on at both ends by a stroke's shares shifted to meet it."""
    known = counts.cast(pl.Float64)
    length = known["distance_ft"].to_numpy()
    share = (known["holed"].to_numpy() + 0.5) / (known["tries"].to_numpy() + 1)
    shift = logit(share) - logit(made_by(stroke, length))
    beyond = _BEYOND_FT[(length[0] > _BEYOND_FT) | (length[-1] < _BEYOND_FT)]
    ends = (shift[:2].mean(), shift[-3:].mean())
    model = expit(logit(made_by(stroke, beyond)) + np.where(beyond < length[0], *ends))
    carried = pl.DataFrame(
        {"distance_ft": beyond, "tries": np.full(len(beyond), float(_MODEL_TRIES))}
    ).with_columns(holed=pl.Series(model) * _MODEL_TRIES)
    return _smooth(pl.concat([known, carried]).sort("distance_ft"), _STIFF)


def made_by(stroke: PuttingStroke, length_ft: Array) -> Array:
    """Share a stroke holes by length, over all usual greens."""
    grid = expected_grid(stroke)
    share = logit(np.clip(grid.one_putt[:, -1, -1], 1e-9, 1 - 1e-9))
    curve = PchipInterpolator(np.log(grid.length_ft), share)
    return np.asarray(expit(curve(np.log(length_ft))), dtype=np.float64)


def fit_tour_stroke() -> PuttingStroke:
    """The tour's stroke: spreads fitted to open makes, published averages and three-putts.

    Meant pace is kept (1.7 ft past near the hole, 0.4 ft far): makes hardly tell it.
    """
    counts = read_table("tour_2016_2018_makes.csv").filter(
        pl.col("distance_ft").is_between(_FROM_FT, _TO_FT)
    )
    share = logit((counts["holed"] / counts["tries"]).to_numpy())
    length = counts["distance_ft"].to_numpy()
    published = read_table("tour_expected_putts.csv").filter(pl.col("distance_ft") <= _NEAR_FT)
    at = np.searchsorted(GRID_FT, published["distance_ft"].to_numpy())
    one_putt = tour_table()["one_putt"].to_numpy()

    def off(logs: Array) -> Array:
        stroke = _with_spreads(TOUR_STROKE, logs)
        table = stroke_table(stroke, one_putt)
        putts = table["expected_putts"].to_numpy()[at] - published["expected_putts"].to_numpy()
        three = table["three_putt"].to_numpy()[at] - published["three_putt_share"].to_numpy()
        makes = logit(made_by(stroke, length)) - share
        return np.concatenate([makes / _MAKES_DOUBT, putts / _PUTTS_DOUBT, three / _THREE_DOUBT])

    start = np.log([TOUR_STROKE.direction_deg, TOUR_STROKE.read, TOUR_STROKE.pace])
    return _with_spreads(TOUR_STROKE, least_squares(off, start, diff_step=[0.01]).x)


_FROM_FT, _TO_FT, _NEAR_FT = 1.5, 65.0, 40.0
# How far the model may be off each kind of figure: rounding of the published ones, and the model's
# own shape. Chosen.
_MAKES_DOUBT, _PUTTS_DOUBT, _THREE_DOUBT = 0.08, 0.005, 0.003


def _with_spreads(like: PuttingStroke, logs: Array) -> PuttingStroke:
    direction, read, pace = np.exp(logs).tolist()
    return replace(like, direction_deg=direction, read=read, pace=pace)


def fit_club_stroke() -> PuttingStroke:
    """A 90-shooter's stroke: direction and read spread, grown alike, fitted to one-putt shares.

    The pace spread is the tour's times the ratio of distance errors given by Bansal & Broadie
    (2008): one-putt shares alone hardly tell pace.
    """
    facts = read_values("amateur_facts.csv")
    ratio = facts["long_putt_distance_error_amateur"] / facts["long_putt_distance_error_pro"]
    counts = _club_counts()
    length = counts["distance_ft"].to_numpy()
    share = (counts["holed"] / counts["tries"]).to_numpy()

    def stroke(more: float) -> PuttingStroke:
        return TOUR_STROKE.changed(direction_deg=more, read=more, pace=ratio)

    def off(more: Array) -> Array:
        return np.asarray(made_by(stroke(float(more[0])), length) - share)

    return stroke(float(least_squares(off, [1.5]).x[0]))


def checks_table() -> pl.DataFrame:
    """What the strokes rest on: each published figure, the model's, and the gap."""
    checks = _Checks()
    tour = stroke_table(TOUR_STROKE, tour_table()["one_putt"].to_numpy())
    for row in read_table("tour_expected_putts.csv").to_dicts():
        feet, file = row["distance_ft"], "tour_expected_putts.csv"
        here = tour.row(int(np.searchsorted(GRID_FT, feet)), named=True)
        for what, theirs, ours in (
            ("expected putts", "expected_putts", "expected_putts"),
            ("three-putt share", "three_putt_share", "three_putt"),
            ("one-putt share", "one_putt_share", "one_putt"),
        ):
            checks.add("tour baseline", what, feet, row[theirs], here[ours], file)
    makes = read_table("tour_2016_2018_makes.csv").filter(pl.col("distance_ft") > 1)
    shares = makes.select("distance_ft", pl.col("holed") / pl.col("tries"))
    checks.makes("tour stroke", TOUR_STROKE, shares, "tour_2016_2018_makes.csv")
    shares = read_table("amateur_one_putt.csv").select("distance_ft", "one_putt_share")
    checks.makes("club stroke", CLUB_STROKE, shares, "amateur_one_putt.csv")
    facts, file = read_values("amateur_facts.csv"), "amateur_facts.csv"
    for who, stroke, name in (
        ("tour stroke", TOUR_STROKE, "left_short_10_ft_tour"),
        ("club stroke", CLUB_STROKE, "left_short_10_ft_90_shooter"),
    ):
        ends = stops(stroke, Station(10.0))
        short = float(ends.weight[ends.past_ft < 0].sum())
        checks.add(who, "left short", 10.0, facts[name], short, file)
    _add_slopes(checks)
    return checks.table()


class _Checks:
    """Rows of published figures beside the model's."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, str, float, float, float, str]] = []

    def add(
        self, of: str, what: str, feet: float, published: float, model: float, file: str
    ) -> None:
        self.rows.append((of, what, feet, published, model, file))

    def makes(self, of: str, stroke: PuttingStroke, shares: pl.DataFrame, file: str) -> None:
        for feet, share in shares.iter_rows():
            model = float(made_by(stroke, np.array([feet]))[0])
            self.add(of, "one-putt share", feet, share, model, file)

    def table(self) -> pl.DataFrame:
        names = ["of", "what", "distance_ft", "published", "model", "file"]
        table = pl.DataFrame(self.rows, schema=names, orient="row")
        return (
            table.with_columns(pl.col("published", "model").round(4))
            .with_columns((pl.col("model") - pl.col("published")).round(4).alias("gap"))
            .select(*names[:5], "gap", "file")
        )


def _add_slopes(checks: _Checks) -> None:
    """Broadie's columns of 2019: slope, leaves and steep side slopes."""
    physics, file = read_values("green_physics.csv"), "green_physics.csv"
    up, down = (make_share(TOUR_STROKE, Station(8.0, slope=s)) for s in ("uphill", "downhill"))
    below, above = (
        make_share(TOUR_STROKE, Station(8.0, direction_deg=degrees, grade=0.04))
        for degrees in (135.0, 45.0)
    )
    leaves = {
        "": ("tour_10_ft_miss_median_leave_ft", Station(10.0)),
        ", uphill at 3 %": (
            "tour_10_ft_miss_median_leave_uphill_3_percent_ft",
            Station(10.0, "uphill", grade=0.03),
        ),
        ", downhill at 3 %": (
            "tour_10_ft_miss_median_leave_downhill_3_percent_ft",
            Station(10.0, "downhill", grade=0.03),
        ),
    }
    name = "tour_8_ft_uphill_over_downhill_makes"
    what = "holed uphill over downhill, ratio less 1"
    checks.add("tour stroke", what, 8.0, physics[name], up / down - 1, file)
    name = "tour_8_ft_steep_down_across_over_up_across"
    what = "holed down and across over up and across at 4 %, ratio less 1"
    checks.add("tour stroke", what, 8.0, physics[name], above / below - 1, file)
    for where, (name, station) in leaves.items():
        what = f"median leave of misses{where}"
        checks.add("tour stroke", what, 10.0, physics[name], median_leave(station), file)


def median_leave(station: Station, stroke: PuttingStroke = TOUR_STROKE) -> float:
    """Median of what misses leave, feet."""
    ends = stops(stroke, station)
    leave = np.hypot(ends.past_ft, ends.left_ft)
    order = np.argsort(leave)
    share = np.cumsum(ends.weight[order]) / ends.weight.sum()
    return float(np.interp(0.5, share, leave[order]))


def _rounded(table: pl.DataFrame) -> pl.DataFrame:
    return table.with_columns(pl.exclude("distance_ft").round(_DIGITS))


TABLES = {
    "tour_baseline.csv": (_TOUR_NOTES, tour_table),
    "tour_1988_baseline.csv": (_TOUR_1988_NOTES, tour_1988_table),
    "club_baseline.csv": (_CLUB_NOTES, club_table),
}


def main() -> None:
    """Write the tables."""
    checks = {"stroke_checks.csv": (_CHECKS_NOTES, checks_table)}
    for name, (notes, table) in {**TABLES, **checks}.items():
        (CHECKOUT / name).write_text(notes + table().write_csv(), encoding="utf-8")


if __name__ == "__main__":
    main()

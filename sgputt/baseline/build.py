"""Builds the baseline tables in ``data/reference/`` from the published figures beside them.

Run with ``python -m sgputt.baseline.build``; a test holds that rebuilding gives the same table.
"""

from __future__ import annotations

import numpy as np
import polars as pl
from scipy.optimize import minimize

from sgputt.baseline.curve import chain_table
from sgputt.baseline.smooth import smooth_make_shares
from sgputt.reference import CHECKOUT, read_table, read_values
from sgputt.stroke.chain import GRID_FT, chain
from sgputt.stroke.model import TOUR, Array, Stroke, make_share

_DIGITS = 9

_TOUR_NOTES = """\
# title: Tour baseline, expected putts by distance
# source: tour_2016_2018_makes.csv (Broadie 2018) and stroke_model.csv (Gelman 2019)
# method: one_putt is a monotone smooth through the counts; leaves after a miss come from the \
stroke model; expected_putts, three_putt and leave_spread are the two chained to the hole
# era: 2016-2018
# status: worked out by sgputt.baseline.build; not published
# units: feet; shares from 0 to 1; putts
# limits: beyond 75 ft there are no data and the curve is carried on; the three-putt share \
from 15 to 30 ft is up to 2 in 100 too high
"""


_TOUR_1988_NOTES = """\
# title: Tour baseline of 1988, expected putts by distance
# source: tour_1988_makes.csv (Berry 1996; Gelman & Nolan 2002)
# method: the stroke model's two spreads fitted to the counts, chained to the hole
# era: 1988, flat greens
# status: worked out by sgputt.baseline.build; not published
# units: feet; shares from 0 to 1; putts
# limits: counts only from 2 to 20 ft; beyond, the model alone
"""
_CLUB_NOTES = """\
# title: Club baseline (a 90-shooter, approximate), expected putts by distance
# source: amateur_one_putt.csv and amateur_facts.csv (second hand)
# method: the stroke model's line spread fitted to one-putt shares, its pace spread the tour's \
times 8.5 / 6.5 (distance errors of amateurs and pros), chained to the hole
# era: about 2008-2014
# status: worked out by sgputt.baseline.build; not published. No published table of expected \
putts exists for these players
# units: feet; shares from 0 to 1; putts
# limits: shares only from 3 to 30 ft, to whole per cents; beyond, the model alone
"""
# Putts that each published share of the 90-shooter is weighed with: no count is published.
_ASSUMED_TRIES = 1000


def tour_table() -> pl.DataFrame:
    """Tour baseline: measured make shares, leaves of the stroke model, chained."""
    makes = read_table("tour_2016_2018_makes.csv")
    one_putt = smooth_make_shares(
        makes["distance_ft"].to_numpy(),
        makes["tries"].to_numpy(),
        makes["holed"].to_numpy(),
        GRID_FT,
    )
    return _rounded(chain_table(chain(TOUR, one_putt)))


def tour_1988_table() -> pl.DataFrame:
    """Tour baseline of 1988: the stroke model fitted to the counts, chained."""
    makes = read_table("tour_1988_makes.csv")
    return _rounded(chain_table(chain(fit_makes(makes))))


def club_table() -> pl.DataFrame:
    """Club baseline: the stroke model's line spread fitted to a 90-shooter's one-putt shares.

    The pace spread is the tour's times the ratio of distance errors given by Bansal & Broadie
    (2008): one-putt shares alone hardly tell pace, and would make it far too wide.
    """
    facts = read_values("amateur_facts.csv")
    ratio = facts["long_putt_distance_error_amateur"] / facts["long_putt_distance_error_pro"]
    shares = read_table("amateur_one_putt.csv").with_columns(
        pl.lit(_ASSUMED_TRIES).alias("tries"),
        (pl.col("one_putt_share") * _ASSUMED_TRIES).alias("holed"),
    )
    return _rounded(chain_table(chain(fit_makes(shares, TOUR.pace * ratio))))


def fit_makes(counts: pl.DataFrame, pace: float | None = None) -> Stroke:
    """Most likely spreads for counts of makes (binomial).

    Parameters
    ----------
    counts : polars.DataFrame
        ``distance_ft, tries, holed``.
    pace : float, optional
        Pace spread to keep; otherwise it is fitted too.
    """
    distance, tries, holed = (
        counts[name].to_numpy().astype(np.float64) for name in ("distance_ft", "tries", "holed")
    )

    def stroke(logs: Array) -> Stroke:
        return Stroke(float(np.exp(logs[0])), float(np.exp(logs[1])) if pace is None else pace)

    def cost(logs: Array) -> float:
        share = np.clip(make_share(stroke(logs), distance), 1e-12, 1 - 1e-12)
        return -float(np.sum(holed * np.log(share) + (tries - holed) * np.log(1 - share)))

    start = np.log([TOUR.line_rad, TOUR.pace][: 1 if pace is not None else 2])
    best = minimize(cost, start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-6}).x
    return stroke(best)


def _rounded(table: pl.DataFrame) -> pl.DataFrame:
    return table.with_columns(pl.exclude("distance_ft").round(_DIGITS))


TABLES = {
    "tour_baseline.csv": (_TOUR_NOTES, tour_table),
    "tour_1988_baseline.csv": (_TOUR_1988_NOTES, tour_1988_table),
    "club_baseline.csv": (_CLUB_NOTES, club_table),
}


def main() -> None:
    """Write the tables."""
    for name, (notes, table) in TABLES.items():
        (CHECKOUT / name).write_text(notes + table().write_csv(), encoding="utf-8")


if __name__ == "__main__":
    main()

"""Builds the baseline tables in ``data/reference/`` from the published figures beside them.

Run with ``python -m sgputt.baseline.build``; a test holds that rebuilding gives the same table.
"""

from __future__ import annotations

import polars as pl

from sgputt.baseline.curve import chain_table
from sgputt.baseline.smooth import smooth_make_shares
from sgputt.reference import CHECKOUT, read_table
from sgputt.stroke.chain import GRID_FT, chain
from sgputt.stroke.model import Stroke

_DIGITS = 9

_TOUR_NOTES = """\
# title: Tour baseline, expected putts by distance
# source: tour_2016_2018_makes.csv (Broadie 2018) and stroke_model.csv (Gelman 2019)
# method: one_putt is a monotone smooth through the counts; leaves after a miss come from the \
stroke model; expected_putts, three_putt and leave_spread are the two chained to the hole
# era: 2016-2018
# status: worked out by sgputt.baseline.build; not published
# units: feet; shares from 0 to 1; putts
# limits: beyond 75 ft there are no data and the curve is carried on; three_putt is too low \
inside about 15 ft
"""


def tour_table() -> pl.DataFrame:
    """Tour baseline: measured make shares, leaves of the published stroke model, chained."""
    makes = read_table("tour_2016_2018_makes.csv")
    one_putt = smooth_make_shares(
        makes["distance_ft"].to_numpy(),
        makes["tries"].to_numpy(),
        makes["holed"].to_numpy(),
        GRID_FT,
    )
    return _rounded(chain_table(chain(Stroke(), one_putt)))


def _rounded(table: pl.DataFrame) -> pl.DataFrame:
    return table.with_columns(pl.exclude("distance_ft").round(_DIGITS))


def main() -> None:
    """Write the tables."""
    text = _TOUR_NOTES + tour_table().write_csv()
    (CHECKOUT / "tour_baseline.csv").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

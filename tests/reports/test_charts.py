from __future__ import annotations

import json

import polars as pl
import vl_convert

from sgputt_reports import charts
from sgputt_reports.dots import Still

BANDS = pl.DataFrame(
    {
        "distance": ["0-3 ft", "3-5 ft", "5-7 ft", "40+ ft"],
        "putts": [458, 109, 97, 0],
        "per_round": [0.01, 0.09, -0.37, 0.0],
        "low": [-0.06, 0.02, -0.57, None],
        "high": [0.06, 0.16, -0.15, None],
    }
)
ONE_ROUND = BANDS.with_columns(pl.lit(None, pl.Float64).alias(name) for name in ("low", "high"))
NO_PUTTS = ONE_ROUND.with_columns(pl.lit(0).alias("putts"), pl.lit(0.0).alias("per_round"))


def test_words_name_losses_and_gains_with_their_intervals() -> None:
    assert charts.describe_by_distance(BANDS) == (
        "Strokes go from 5–7\u00a0ft (−0.37 a round; −0.57 to −0.15). "
        "Strokes are won from 3–5\u00a0ft (+0.09 a round; +0.02 to +0.16). "
        "The intervals of the other distances cross nought."
    )


def test_words_without_intervals_claim_no_skill() -> None:
    assert "not skill" in charts.describe_by_distance(ONE_ROUND)
    assert "nothing to show" in charts.describe_by_distance(NO_PUTTS)


def test_words_say_when_nothing_can_be_told() -> None:
    wide = BANDS.with_columns(pl.lit(-1.0).alias("low"), pl.lit(1.0).alias("high"))
    assert "too few rounds to tell" in charts.describe_by_distance(wide)


def test_words_warn_of_intervals_from_few_rounds() -> None:
    warning = "From only 4 rounds these intervals are too narrow to trust."
    assert charts.describe_by_distance(BANDS, 4).endswith(warning)
    assert "clear of nought" in charts.key_to_chart(BANDS, 0.9)
    for rounds in (5, None):
        assert "too narrow" not in charts.describe_by_distance(BANDS, rounds)
    assert "too narrow" not in charts.describe_by_distance(ONE_ROUND, 1)


def test_every_spec_draws_and_names_no_address() -> None:
    for frame in (BANDS, ONE_ROUND, NO_PUTTS):
        spec = charts.gained_by_distance(frame)
        assert spec["width"] == "container"
        assert "://" not in json.dumps(spec)
        for svg in (vl_convert.vegalite_to_svg({**spec, "width": 360}), Still.of(spec).svg()):
            assert "97 putts" in svg or frame is NO_PUTTS


def test_losses_and_gains_differ_in_more_than_colour() -> None:
    spec = charts.gained_by_distance(BANDS)
    for svg in (vl_convert.vegalite_to_svg({**spec, "width": 360}), Still.of(spec).svg()):
        assert "−0.37" in svg
        assert "+0.09" in svg
        assert "loses" in svg

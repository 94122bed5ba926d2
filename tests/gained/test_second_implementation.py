"""The engine against a plain second implementation, on random rounds of every shape."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd
import polars as pl
from hypothesis import given, settings
from hypothesis import strategies as st

from sgputt.baseline.catalogue import get_baseline
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import in_order
from sgputt.gained.sums import SUMS, SumsByLength, merge_sums, round_sums
from sgputt.putts.table import PUTT_KEY, ROUND_KEY
from sgputt.season.scored import score
from tests.gained import plain
from tests.gained.rounds import any_hole, plain_hole, putts_table

TOUR = get_baseline("tour")
CLOSE = 1e-9
EXAMPLES = 60


def as_pandas(frame: pl.DataFrame) -> pd.DataFrame:
    """The putts for the plain implementation: words as str, unknown lengths as NaN."""
    words = frame.with_columns(pl.col(pl.Enum).cast(pl.String))
    return pd.DataFrame(
        {
            name: words[name].to_numpy() if words[name].dtype.is_float() else words[name].to_list()
            for name in words.columns
        }
    )


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()))
def test_every_putt_gains_the_same(putts: pl.DataFrame) -> None:
    ours = strokes_gained(putts, TOUR)
    theirs = plain.gains(as_pandas(putts))
    assert ours["counts"].to_list() == theirs["counts"].to_list()
    bands = theirs["band"].replace({np.nan: None}).to_list()
    assert ours["band"].cast(pl.String).to_list() == bands
    for name in plain.GAINS:
        values = ours[name].to_numpy()
        np.testing.assert_allclose(values, theirs[name], rtol=0, atol=CLOSE, err_msg=name)


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()))
def test_sums_of_a_round_are_the_same(putts: pl.DataFrame) -> None:
    ours = round_sums(strokes_gained(putts, TOUR))
    theirs = plain.sums(plain.gains(as_pandas(putts)))
    keys = ["player", "date", "round", "band", "slope"]
    words = ours.with_columns(pl.col("band", "slope").cast(pl.String)).sort(keys)
    theirs = theirs.sort_values(keys)
    assert words.select(keys).rows() == list(theirs[keys].itertuples(index=False, name=None))
    for name in SUMS:
        np.testing.assert_allclose(words[name], theirs[name], rtol=0, atol=CLOSE, err_msg=name)


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(plain_hole()), st.sampled_from([1 / 10, 1 / 12, 1 / 304.8]))
def test_sums_by_length_have_the_same_digits(putts: pl.DataFrame, unit_ft: float) -> None:
    written = pl.col("distance_ft", "leave_ft").fill_null(4.0)
    lengths = (written / unit_ft).round().clip(lower_bound=1) * unit_ft
    gained = strokes_gained(putts.with_columns(lengths), TOUR)
    by_length = SumsByLength(TOUR).of(in_order(gained.select(putts.columns), PUTT_KEY, ROUND_KEY))
    assert by_length is not None
    assert by_length.equals(round_sums(gained))


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()))
def test_sums_by_length_are_the_same_or_left_to_the_table_of_putts(putts: pl.DataFrame) -> None:
    gained = strokes_gained(putts, TOUR)
    by_length = SumsByLength(TOUR).of(in_order(gained.select(putts.columns), PUTT_KEY, ROUND_KEY))
    if by_length is None:
        unknown = pl.col("distance_ft", "leave_ft").is_null().any()
        special = (pl.col("result") == "conceded").any() | (pl.col("surface") != "green").any()
        assert gained.select(pl.any_horizontal(unknown, special)).item()
    else:
        assert by_length.equals(round_sums(gained))


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()))
def test_holing_and_leave_make_the_whole(putts: pl.DataFrame) -> None:
    gained = strokes_gained(putts, TOUR)
    split = gained.drop_nulls("sg")
    parts = split["holing"] + split["leave"]
    np.testing.assert_allclose(parts, split["sg"], rtol=0, atol=CLOSE)
    # An unknown leave is neither a gain of zero nor part of the split.
    unknown = gained.filter(pl.col("counts") & pl.col("sg").is_null())
    assert unknown["leave"].null_count() == unknown.height
    sums = round_sums(gained)
    parts = sums["holing"] + sums["leave"] + sums["not_split"]
    np.testing.assert_allclose(sums["strokes_gained"], parts, rtol=0, atol=CLOSE)


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(plain_hole()))
def test_a_hole_telescopes_to_first_putt_less_putts(putts: pl.DataFrame) -> None:
    holes = score(putts, TOUR).holes
    firsts = putts.filter(pl.col("putt") == 1).sort("player", "date", "round", "hole")
    from_there = np.array([plain.expected(d) for d in firsts["distance_ft"]])
    taken = putts.group_by("player", "date", "round", "hole").len().sort(pl.all())["len"].to_numpy()
    np.testing.assert_allclose(holes["strokes_gained"], from_there - taken, rtol=0, atol=CLOSE)
    assert holes["putts"].to_list() == taken.tolist()


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()), st.integers(0, 2**32 - 1))
def test_the_order_of_rows_does_not_matter(putts: pl.DataFrame, seed: int) -> None:
    shuffled = putts.sample(fraction=1.0, shuffle=True, seed=seed)
    same(round_sums(strokes_gained(putts, TOUR)), round_sums(strokes_gained(shuffled, TOUR)))
    there, here = score(putts, TOUR).rounds, score(shuffled, TOUR).rounds
    same(there, here)


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()), st.integers(0, 2))
def test_parts_add_up_to_the_whole(putts: pl.DataFrame, days: int) -> None:
    """Whole rounds may be summed anywhere and added."""
    whole = round_sums(strokes_gained(putts, TOUR))
    part = pl.col("date") <= date(2026, 5, 3) + timedelta(days=days)
    parts = [round_sums(strokes_gained(putts.filter(each), TOUR)) for each in (part, part.not_())]
    same(whole, merge_sums(*parts))
    same(merge_sums(whole), whole)


def same(one: pl.DataFrame, other: pl.DataFrame) -> None:
    assert one.schema == other.schema
    assert one.height == other.height
    for name in one.columns:
        if one[name].dtype.is_float():
            np.testing.assert_allclose(one[name], other[name], rtol=0, atol=CLOSE, err_msg=name)
        else:
            assert one[name].to_list() == other[name].to_list(), name


@settings(max_examples=EXAMPLES, deadline=None)
@given(putts_table(any_hole()))
def test_concessions_stay_out_of_skill(putts: pl.DataFrame) -> None:
    gained = strokes_gained(putts, TOUR)
    conceded = gained.filter(pl.col("result") == "conceded")
    assert not conceded["counts"].any()
    assert conceded["holing"].null_count() == conceded.height
    others = gained.filter(pl.col("result") != "conceded")
    assert (others["conceded"] == 0).all()
    assert round_sums(gained)["putts"].sum() == gained["counts"].sum()

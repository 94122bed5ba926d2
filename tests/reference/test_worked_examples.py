"""The worked examples of strokes gained (second hand; the definition seen), hole by hole."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.baseline.curve import Baseline
from sgputt.putts.table import conform_putts
from sgputt.reference import read_table
from sgputt.season.scored import score

EXAMPLES = read_table("worked_examples").to_dicts()
# Lengths of later putts, in feet; what they are may not change a hole's total.
LEAVES_FT = (3.0, 1.0)


def example_baseline() -> Baseline:
    """A baseline with exactly the averages of the examples; its other figures are invented."""
    averages = {row["distance_ft"]: row["average_putts"] for row in EXAMPLES}
    points = sorted({0.5: 1.001, 1.0: 1.005, 3.0: 1.05, 60.0: 2.2, **averages}.items())
    table = pl.DataFrame(
        {
            "distance_ft": [distance for distance, _ in points],
            "expected_putts": [expected for _, expected in points],
            "one_putt": [max(0.02, 2 - expected) for _, expected in points],
            "three_putt": [max(0.0, (expected - 1.5) / 10) for _, expected in points],
            "leave_spread": [0.1 for _ in points],
        }
    )
    return replace(get_baseline("tour"), name="examples", table=table)


def played(row: dict[str, float], lengths_known: bool) -> pl.DataFrame:
    """An example as a putts table: its putts shared over its holes as evenly as can be."""
    holes, putts = int(row["holes"]), int(row["putts"])
    rows = []
    for hole in range(1, holes + 1):
        count = putts // holes + (hole <= putts % holes)
        for putt in range(1, count + 1):
            later = LEAVES_FT[putt - 2] if lengths_known else None
            distance = row["distance_ft"] if putt == 1 else later
            result = "holed" if putt == count else "missed"
            rows.append((date(2026, 5, 3), hole, putt, distance, result))
    names = ["date", "hole", "putt", "distance_ft", "result"]
    return conform_putts(pl.DataFrame(rows, schema=names, orient="row"))


@pytest.mark.parametrize("lengths_known", [True, False], ids=["all lengths", "first lengths"])
@pytest.mark.parametrize("row", EXAMPLES, ids=str)
def test_an_example_comes_out_exactly(row: dict[str, float], lengths_known: bool) -> None:
    holes = score(played(row, lengths_known), example_baseline()).holes
    assert holes["strokes_gained"].sum() == pytest.approx(row["strokes_gained"], abs=1e-12)
    assert holes["putts"].sum() == row["putts"]


@pytest.mark.parametrize("row", EXAMPLES, ids=str)
def test_an_example_comes_out_with_the_tour_baseline(row: dict[str, float]) -> None:
    # The examples round the average to a tenth of a putt; the baseline is held to the published
    # hundredths within 0.02 a hole, and 1.98 and 1.50 are what was rounded.
    holes = score(played(row, True), get_baseline("tour")).holes
    tolerance = 0.02 * row["holes"]
    assert holes["strokes_gained"].sum() == pytest.approx(row["strokes_gained"], abs=tolerance)

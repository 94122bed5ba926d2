"""A round of three holes, every figure worked by hand from the rows of the baseline table."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from sgputt.reference import COMMENT, reference_path
from tests.cli.conftest import Command

# Lengths that stand in the table themselves, so that nothing is interpolated.
CARD = """\
date,player,course,hole,par,putts,putt1,putt2,putt3,slope,break,miss
2025-05-03,Ada Brook,Heron Mere,1,4,2,20,2,,uphill,left to right,short
,,,2,3,1,8,,,level,straight,
,,,3,5,3,40,6,1,downhill,right to left,past
"""


def table() -> dict[float, tuple[float, float]]:
    """Expected putts and one-putt share by distance, read plainly."""
    lines = reference_path("tour_baseline").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith(COMMENT))
    return {
        float(row["distance_ft"]): (float(row["expected_putts"]), float(row["one_putt"]))
        for row in rows
    }


TABLE = table()
E = {distance: row[0] for distance, row in TABLE.items()}
P = {distance: row[1] for distance, row in TABLE.items()}
M = {distance: (E[distance] - 1) / (1 - P[distance]) for distance in (1, 2, 6, 8, 20, 40)}


@pytest.fixture
def imported(sgputt: Command, home: Path) -> Command:
    (home / "round.csv").write_text(CARD, encoding="utf-8")
    assert sgputt("import", "round.csv", "--json").json["stored"] == [1]
    return sgputt


def test_every_figure_of_the_round(imported: Command) -> None:
    found = imported("round", "1", "--json").json
    assert (found["holes"], found["putts"]) == (3, 6)
    holes = [E[20] - 2, E[8] - 1, E[40] - 3]
    gained = [row["strokes_gained"] for row in found["per_hole"]]
    assert gained == pytest.approx(holes, abs=1e-9)
    assert found["strokes_gained"] == pytest.approx(sum(holes), abs=1e-9)

    made = [(1 - P[d]) * M[d] for d in (2, 8, 1)]
    missed = [-P[d] * M[d] for d in (20, 40, 6)]
    assert found["holing"] == pytest.approx(sum(made) + sum(missed), abs=1e-9)
    leaves = [M[20] - E[2], M[40] - E[6], M[6] - E[1]]
    assert found["leave"] == pytest.approx(sum(leaves), abs=1e-9)
    assert found["not_split"] == 0
    assert [row["first_putt_ft"] for row in found["per_hole"]] == [20, 8, 40]
    assert [row["putts"] for row in found["per_hole"]] == [2, 1, 3]


def test_the_season_of_one_round(imported: Command) -> None:
    found = imported("season", "--json").json
    assert (found["rounds"], found["holes"], found["putts"]) == (1, 3, 6)
    assert found["putts_per_round"] == pytest.approx(6 * 18 / 3)
    assert found["three_putts_per_round"] == pytest.approx(1 * 18 / 3)
    gained = found["strokes_gained_per_round"]
    assert gained["value"] == pytest.approx((E[20] + E[8] + E[40] - 6) * 18 / 3, abs=1e-9)
    assert (gained["low"], gained["high"]) == (None, None)
    cells = {
        (row["distance"], row["component"]): row["per_round"]
        for row in found["cells"]
        if row["slope"] == "any"
    }
    assert cells["7-10 ft", "holing"] == pytest.approx((1 - P[8]) * M[8] * 6, abs=1e-9)
    assert cells["15-25 ft", "leave"] == pytest.approx((M[20] - E[2]) * 6, abs=1e-9)
    assert cells["25-40 ft", "holing"] == pytest.approx(-P[40] * M[40] * 6, abs=1e-9)
    assert cells["5-7 ft", "leave"] == pytest.approx((M[6] - E[1]) * 6, abs=1e-9)


def test_expect_shows_the_table(imported: Command) -> None:
    row = imported("expect", "8ft", "--json").json[0]
    assert (row["expected_putts"], row["one_putt"]) == pytest.approx((E[8], P[8]), abs=1e-9)


def test_without_second_lengths_the_total_is_the_same(sgputt: Command, home: Path) -> None:
    lines = CARD.replace("20,2,,", "20,,,").replace("40,6,1,", "40,,,")
    (home / "least.csv").write_text(lines, encoding="utf-8")
    assert sgputt("import", "least.csv").status == 0
    found = sgputt("round", "--json").json
    total = E[20] + E[8] + E[40] - 6
    assert found["strokes_gained"] == pytest.approx(total, abs=1e-9)
    holing = -P[20] * M[20] + (1 - P[8]) * M[8] - P[40] * M[40]
    assert found["holing"] == pytest.approx(holing, abs=1e-9)
    assert found["leave"] == 0
    assert found["not_split"] == pytest.approx(total - holing, abs=1e-9)

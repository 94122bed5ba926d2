"""Columns are declared once; whatever needs them takes them from there."""

from __future__ import annotations

import pytest

from sgputt.putts.columns import COLUMN, COLUMNS, IN_TABLE, described
from sgputt.putts.table import PUTTS_SCHEMA
from sgputt.putts.values import CellError, read_aim, read_grade
from tests.test_house import ROOT


def test_the_table_of_columns_in_the_handbook_is_the_declared_one() -> None:
    assert described() in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_schema_is_the_declarations() -> None:
    assert list(PUTTS_SCHEMA) == [column.name for column in IN_TABLE]
    assert all(column.means for column in IN_TABLE)


def test_no_header_and_no_word_has_two_meanings() -> None:
    headers = [h.strip() for column in COLUMNS for h in column.headers.split(",") if h.strip()]
    assert len(headers) == len(set(headers))
    for column in COLUMNS:
        every = [*column.words.items(), *column.also.items()]
        spelled = [s.strip() for _, words in every for s in words.split(",") if s.strip()]
        assert len(spelled) == len(set(spelled)), column.name


def test_declarations_for_the_archive() -> None:
    assert COLUMN["break"].sql == '"break" TEXT NOT NULL'
    assert COLUMN["distance_ft"].sql == '"distance_ft" REAL'
    assert COLUMN["putt"].sql == '"putt" INTEGER NOT NULL'


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("6 in left", 6),
        ("6 inches left", 6),
        ('6" L', 6),
        ("left edge", 2.125),
        ("right edge", -2.125),
        ("edge left", 2.125),
        ("2 cups right", -8.5),
        ("two cups right", -8.5),
        ("half a cup left", 2.125),
        ("½ cup left", 2.125),
        ("1 ball left", 1.68),
        ("a ball right", -1.68),
        ("1 cup outside left", 6.375),
        ("a cup outside the right edge", -6.375),
        ("15 cm left", 15 / 2.54),
        ("centre", 0),
        ("center", 0),
        ("straight", 0),
        ("2 ft left", 24),
    ],
)
def test_the_point_aimed_at(text: str, inches: float) -> None:
    assert read_aim(text, "", "") == pytest.approx(inches)


@pytest.mark.parametrize("text", ["left", "6", "6 left", "inside left", "cup", "300 in left", "-6"])
def test_an_aim_that_could_be_several(text: str) -> None:
    with pytest.raises(CellError):
        read_aim(text, "an aim", "Write 6 in left.")


@pytest.mark.parametrize(
    ("text", "unit", "grade"),
    [
        ("2.5%", None, 0.025),
        ("2.5", None, 0.025),
        ("0.025", None, 0.025),
        ("0.1", "percent", 0.001),
        ("0.2", "percent", 0.002),
        ("0.2%", None, 0.002),
        ("0", None, 0),
    ],
)
def test_grades(text: str, unit: str | None, grade: float) -> None:
    assert read_grade(text, "", "", unit) == pytest.approx(grade)


@pytest.mark.parametrize("text", ["0.1", "0.2", "0.3"])
def test_a_grade_that_may_be_a_share_or_percent_is_asked_about(text: str) -> None:
    with pytest.raises(CellError, match="may be a share") as asked:
        read_grade(text, "", "")
    # Both answers are written with what stood there.
    assert f"Write {text}% " in asked.value.hint
    assert f"{text[-1]}0% if it is a share" in asked.value.hint

"""Every file of reference data names its source, and the figures are the published ones."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest

from sgputt import reference
from sgputt.errors import ReferenceDataError
from sgputt.reference import read_notes, read_table, read_values, reference_path

COLUMNS = {
    "tour_2016_2018_makes": ("distance_ft", "tries", "holed"),
    "tour_1988_makes": ("distance_ft", "tries", "holed"),
    "tour_expected_putts": (
        "distance_ft",
        "one_putt_share",
        "three_putt_share",
        "expected_putts",
    ),
    "worked_examples": ("distance_ft", "average_putts", "holes", "putts", "strokes_gained"),
    "fearing_2011": ("name", "value", "status"),
    "fearing_2011_checks": ("distance_ft", "expected_putts"),
    "amateur_one_putt": ("distance_ft", "one_putt_share"),
    "amateur_facts": ("name", "value", "unit", "status", "source"),
    "stroke_model": ("name", "value", "standard_error", "unit", "status", "source"),
    "stroke_model_makes": ("distance_ft", "make_share"),
    "stroke_model_expected": ("distance_ft", "expected_putts"),
    "green_physics": ("name", "value", "unit", "status", "source"),
    "common_practice": ("name", "value", "low", "high", "unit", "status"),
    "waiting_times": ("chance", "run", "mean_trials"),
    "wilson_intervals": ("successes", "trials", "low", "high"),
    "batting_1970": ("batter", "at_bats", "hits", "season_remainder"),
}
STATUS = ("seen", "second hand", "from memory", "common practice", "worked out")
VALUES = [name for name, columns in COLUMNS.items() if {"name", "value"} <= set(columns)]
FOLDER = reference_path("tour_2016_2018_makes").parent


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.csv")), ids=lambda path: path.name)
def test_every_table_has_source_and_status(path: Path) -> None:
    notes = read_notes(path.name)
    for key in ("title", "source", "status"):
        assert notes.get(key), f"{path.name} has no '# {key}: ...' line"
    table = read_table(path.name)
    assert table.height > 0
    assert table.columns == [name.lower() for name in table.columns]


@pytest.mark.parametrize("name", COLUMNS)
def test_columns_status_and_units(name: str) -> None:
    table, notes = read_table(name), read_notes(name)
    assert tuple(table.columns) == COLUMNS[name]
    assert any(word in notes["status"] for word in STATUS)
    assert notes["units"] and notes["era"]
    if "status" in table.columns:
        assert all(str(status).startswith(STATUS) for status in table["status"])


def test_readme_lists_every_file() -> None:
    listed = reference_path("README.md").read_text(encoding="utf-8")
    files = [path.name for path in FOLDER.iterdir() if path.name != "README.md"]
    assert [name for name in files if f"`{name}`" not in listed] == []


@pytest.mark.parametrize(
    ("name", "rows", "tries", "holed"),
    [("tour_2016_2018_makes", 31, 1_253_196, 766_741), ("tour_1988_makes", 19, 5_988, 3_390)],
)
def test_open_data_totals_are_the_published_ones(
    name: str, rows: int, tries: int, holed: int
) -> None:
    table = read_table(name)
    assert (table.height, table["tries"].sum(), table["holed"].sum()) == (rows, tries, holed)
    assert table["distance_ft"].is_sorted()
    assert (table["holed"] <= table["tries"]).all()


@pytest.mark.parametrize("name", [n for n, c in COLUMNS.items() if "distance_ft" in c])
def test_feet_are_floats(name: str) -> None:
    assert read_table(name)["distance_ft"].dtype == pl.Float64


def test_worked_examples_follow_from_the_definition() -> None:
    table = read_table("worked_examples")
    gained = pl.col("average_putts") * pl.col("holes") - pl.col("putts")
    assert table.select((gained - pl.col("strokes_gained")).abs().max()).item() < 1e-9


def test_variance_shares_make_a_whole() -> None:
    values = read_values("green_physics")
    shares = [value for name, value in values.items() if name.startswith("variance_share_")]
    assert len(shares) == 3
    assert sum(shares) == pytest.approx(1.0)


@pytest.mark.parametrize("name", VALUES)
def test_values_are_numbers_by_name(name: str) -> None:
    values = read_values(name)
    assert values
    assert all(isinstance(value, float) for value in values.values())


def test_a_range_without_a_value_is_left_out() -> None:
    assert "holed_share_4_ft" not in read_values("common_practice")


def test_stroke_model_constants() -> None:
    values = read_values("stroke_model")
    assert values["hole_radius_ft"] == pytest.approx(values["hole_diameter_in"] / 24, abs=1e-6)
    assert values["ball_radius_ft"] == pytest.approx(values["ball_diameter_in"] / 24, abs=1e-6)
    assert (values["s_line_deg"], values["s_pace"]) == (1.02, 0.08)


def test_an_unknown_file_names_the_nearest() -> None:
    with pytest.raises(ReferenceDataError, match="no file 'tour_1988_make") as caught:
        reference_path("tour_1988_make")
    assert caught.value.hint == "Did you mean 'tour_1988_makes.csv'?"


def test_a_path_out_of_the_folder_is_no_reference_file() -> None:
    with pytest.raises(ReferenceDataError, match="no file"):
        reference_path("../../pyproject.toml")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(reference, "INSTALLED", tmp_path)
    return tmp_path


def test_the_installed_folder_comes_first(folder: Path) -> None:
    (folder / "own.csv").write_text("# source: x\na\n1\n", encoding="utf-8")
    assert reference_path("own") == folder / "own.csv"


def test_no_folder_at_all(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(reference, "INSTALLED", tmp_path / "a")
    monkeypatch.setattr(reference, "CHECKOUT", tmp_path / "b")
    with pytest.raises(ReferenceDataError, match="folder is missing"):
        reference_path("tour_1988_makes")


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("ragged", "a,b\n1\n1,2,3\n", "ragged.csv cannot be read"),
        ("empty", "", "empty.csv cannot be read"),
        ("nameless", "a,b\n1,2\n", "has no names with numbers"),
        ("words", "name,value\na,much\n", "has no names with numbers"),
        ("twice", "name,value\na,1\na,2\n", "has a more than once"),
    ],
)
def test_a_spoilt_table_says_so(folder: Path, name: str, text: str, message: str) -> None:
    (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    with pytest.raises(ReferenceDataError, match=message) as caught:
        read_values(name)
    assert caught.value.hint

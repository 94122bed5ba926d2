"""The Python interface: what the README shows, every kind of frame, and a light import."""

from __future__ import annotations

import csv
import io
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

import sgputt
from sgputt.demo import demo_season
from sgputt.errors import TableError
from sgputt.safe_text import guard, guarded, unguard, unguarded
from tests.test_house import HEAVY, ROOT

NAMES = (
    "=1+1",
    "007",
    "+A",
    "-B",
    "@c",
    "'=d",
    "''=e",
    "Zoë",
    "=HYPERLINK(1)",
    "O'Brien",
    "'quote",
)


@pytest.fixture(scope="session")
def putts() -> pl.DataFrame:
    return sgputt.conform_putts(demo_season().head(200))


def python(code: str, folder: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_example_of_the_readme_runs_as_written(tmp_path: Path) -> None:
    section = (ROOT / "README.md").read_text(encoding="utf-8").partition("## From Python")[2]
    example = re.search(r"```python\n(.*?)```", section, re.DOTALL)
    assert example is not None
    demo_season().write_csv(tmp_path / "putts.csv")
    said = python(example[1], tmp_path)
    assert re.search(r"^[+-]\d\.\d\d strokes a round over 24 rounds$", said, re.MULTILINE)
    assert re.search(r"^[A-Z].*: .*\d", said, re.MULTILINE)
    assert "5-7 ft" in said


def test_every_name_is_there_and_importing_loads_nothing_heavy(tmp_path: Path) -> None:
    said = python(
        f"import sgputt, sys\nprint(sorted(set({HEAVY!r}) & set(sys.modules)))\n"
        "print(sgputt.__version__, sgputt.__all__ == sorted(sgputt.__all__))\n"
        "assert set(sgputt.__all__) <= set(dir(sgputt))\n"
        "from sgputt import *\nprint(all(name in globals() for name in sgputt.__all__))",
        tmp_path,
    )
    assert said.splitlines() == ["[]", f"{version('sgputt')} True", "True"]


def test_a_name_that_is_not_there_is_an_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'scroe'"):
        _ = sgputt.scroe


def test_every_kind_of_frame_gives_the_same_table(putts: pl.DataFrame) -> None:
    pandas = putts.to_pandas()
    texts = {name: pandas[name].astype("object") for name in ("result", "slope", "player")}
    for source in (
        putts,
        putts.lazy(),
        pandas,
        pandas.assign(**texts),
        pandas.assign(date=pandas["date"].dt.date),
        pandas.assign(date=pandas["date"].dt.strftime("%Y-%m-%d")),
        pandas.assign(date=pandas["date"].astype(str) + " 00:00:00"),
        pandas.set_index(pandas.index[::-1]),
        pandas.assign(hole=pandas["hole"].astype("float64")),
    ):
        assert sgputt.putts_from(source).equals(putts)


def test_files_give_the_same_table(putts: pl.DataFrame, tmp_path: Path) -> None:
    putts.write_parquet(tmp_path / "putts.parquet")
    (tmp_path / "many").mkdir()
    for at in (0, 100):
        putts.slice(at, 100).write_parquet(tmp_path / "many" / f"{at:03}.parquet")
    putts.write_csv(tmp_path / "putts.CSV")
    for name in ("putts.parquet", "many", "putts.CSV"):
        assert sgputt.putts_from(tmp_path / name).equals(putts)
        assert sgputt.putts_from(str(tmp_path / name)).equals(putts)


def test_frames_are_left_as_they_were(putts: pl.DataFrame) -> None:
    pandas = putts.to_pandas()
    before = pandas.copy(deep=True)
    sgputt.putts_from(pandas)
    pd.testing.assert_frame_equal(pandas, before)


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ({"distance_ft": -1.0}, "row 0, 1, 2.*'distance_ft': '-1' is not a length over 0"),
        ({"distance_ft": float("inf")}, "is not a length over 0 and up to 100 ft"),
        ({"leave_ft": -0.5}, "'-0.5' is not a length of 0 to 100 ft"),
        ({"hole": 0}, "'0' is not a hole number: 1 to 18"),
        ({"putt": 0}, "'0' is not the number of a putt"),
        ({"hole": 1, "putt": 1, "round": 1, "date": "2026-05-03"}, "putt 1 of hole 1 stands"),
        ({"date": "3 May"}, "'3 May' is no date.*\n.*2026-05-03"),
        ({"date": None}, "'' is not a date"),
        ({"stimp_ft": 30.0}, "'30' is not a green speed of 4 to 16 ft"),
        ({"grade": 0.5}, "'0.5' is not a grade of 0 to 15 %"),
        ({"result": "sunk"}, "sunk"),
        ({"hole": "first"}, "first"),
    ],
    ids=str,
)
def test_a_wrong_value_is_named(putts: pl.DataFrame, columns: dict[str, Any], says: str) -> None:
    wrong = putts.with_columns(pl.lit(value).alias(name) for name, value in columns.items())
    with pytest.raises(TableError, match=says):
        sgputt.putts_from(wrong)


@pytest.mark.parametrize(
    ("source", "says"),
    [
        (3, "int is no table of putts"),
        ("none.csv", "no such file"),
        ("putts.txt", "neither .parquet nor .csv"),
        ("bad.parquet", "cannot be read"),
        ("bad.csv", "no column"),
    ],
)
def test_what_is_no_table_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, source: Any, says: str
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("putts.txt", "bad.parquet", "bad.csv"):
        Path(name).write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(sgputt.SgputtError, match=says):
        sgputt.putts_from(source)


def test_results_come_as_pandas_where_asked(putts: pl.DataFrame) -> None:
    scored = sgputt.score(putts, sgputt.get_baseline("tour"))
    season = sgputt.season_summary(scored, "Mara Lindqvist", "2026")
    tables = sgputt.to_pandas(season)
    assert set(tables) == {"by_distance", "cells", "rounds_table"}
    by_distance = sgputt.to_pandas(season.by_distance)
    pd.testing.assert_frame_equal(by_distance, tables["by_distance"])
    assert list(by_distance["distance"].cat.categories)[:2] == ["0-3 ft", "3-5 ft"]
    assert by_distance["putts"].sum() == putts.height
    nothing: Any = 3
    with pytest.raises(TableError, match="int"):
        sgputt.to_pandas(nothing)


def test_names_that_a_spreadsheet_would_run_survive_csv(
    putts: pl.DataFrame, tmp_path: Path
) -> None:
    players = [NAMES[hole % len(NAMES)] for hole in putts["hole"]]
    named = putts.with_columns(pl.Series("player", players), pl.lit("=cmd").alias("course"))
    guarded(named).write_csv(tmp_path / "putts.csv")
    assert sgputt.putts_from(tmp_path / "putts.csv").equals(named)
    plain = pl.read_csv(tmp_path / "putts.csv", infer_schema=False)
    assert not any(plain["player"].str.contains(r"^[=+\-@\t\r]"))


CELLS = st.text(alphabet="=+-@,;|\t\r\n'\" \u00a0aé＝")


@given(st.one_of(st.text(), st.from_regex(r"\A'*[=+\-@\t\r\n].*"), CELLS))
def test_a_guard_comes_off_again(text: str) -> None:
    assert unguard(guard(text)) == text
    assert not guard(text).startswith(tuple("=+-@\t\r\n"))
    # A spreadsheet may be told of any of these separators, and takes quotation marks off.
    cells = re.split(r"[,;|\t\r\n]", guard(text))
    assert not any(cell.lstrip(' \u00a0"').startswith(tuple("=+-@＝＋－＠")) for cell in cells)
    table = pl.DataFrame({"text": [text, None], "number": [-1, 2]})
    assert guarded(table)["text"][0] == guard(text)
    assert unguarded(guarded(table)).equals(table)


@pytest.mark.parametrize("separator", ",;|\t")
def test_a_sign_behind_a_quotation_mark_is_no_formula_in_any_reading(separator: str) -> None:
    for text in (f'a{separator}"=cmd()', f'a{separator} ""+1', '"=cmd()', f"a{separator}=1"):
        table = pl.DataFrame({"first": ["x"], "name": [text], "last": ["y"]})
        written = io.StringIO(guarded(table).write_csv(), newline="")
        cells = [cell for row in csv.reader(written, delimiter=separator) for cell in row]
        assert not any(cell.strip().startswith(tuple("=+-@")) for cell in cells)


def test_a_guard_stands_only_where_it_must() -> None:
    for text in ("Ann", "O'Brien", "'quote'", "", "1-2", "a=b", "Lee, Ann", "a, b - c"):
        assert guard(text) == unguard(text) == text


def test_scorecards_and_archives_are_at_hand(tmp_path: Path) -> None:
    (tmp_path / "round.csv").write_text("no card\n", encoding="utf-8")
    reading = sgputt.read_scorecard(tmp_path / "round.csv", options=sgputt.CardOptions())
    assert reading.problems
    with sgputt.Archive(tmp_path / "archive.sqlite") as archive:
        assert archive.players() == []

"""Exports as a user asks for them: what, in which form, where to, and what is refused."""

from __future__ import annotations

import io
import json
import os
import shutil
from functools import cache
from pathlib import Path

import openpyxl
import polars as pl
import pytest

import sgputt as library
from sgputt_cli import export
from sgputt_cli.selection import select_season
from tests.cli.conftest import Command, same

CARD = """\
date,player,course,event,hole,putts,putt1,putt2
2025-05-03,{player},{course},{event},1,2,20,2
,,,,2,1,8,
,,,,3,0,,
"""
NAMES = ("=1+1", "+A", "-B", "@c", "'=d", "=HYPERLINK(1)", "Zoë O'Brien")
FORMS = {
    "putts": "csv json md xlsx parquet",
    "rounds": "csv json md xlsx parquet",
    "cells": "csv json md xlsx parquet",
    "season": "csv json md xlsx",
    "practice": "csv json md xlsx",
}


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds in the archive."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    return sgputt


@pytest.fixture
def one_analysis(monkeypatch: pytest.MonkeyPatch) -> None:
    """Exports of the same rounds within a test share their analysis; only the forms differ."""
    monkeypatch.setattr(export, "select_season", cache(select_season))


def is_whole(content: bytes, form: str) -> bool:
    match form:
        case "csv":
            return pl.read_csv(io.BytesIO(content), infer_schema=False).height > 0
        case "json":
            return bool(json.loads(content))
        case "md":
            return content.decode("utf-8").startswith("#")
        case "xlsx":
            return bool(openpyxl.load_workbook(io.BytesIO(content)).sheetnames)
    return pl.read_parquet(io.BytesIO(content)).height > 0


@pytest.mark.usefixtures("one_analysis")
@pytest.mark.parametrize("what", FORMS)
def test_everything_comes_in_every_form(six: Command, home: Path, what: str) -> None:
    for form in FORMS[what].split():
        ran = six("export", "--what", what, "--out", f"out.{form.upper()}")
        assert (ran.status, ran.out, ran.err) == (0, f"Wrote out.{form.upper()}\n", "")
        assert is_whole((home / f"out.{form.upper()}").read_bytes(), form)
    assert [path.name for path in home.iterdir() if path.name.startswith(".out")] == []


@pytest.mark.parametrize(("what", "form"), [("putts", "csv"), ("cells", "csv"), ("season", "md")])
def test_without_a_name_it_goes_to_stdout(six: Command, home: Path, what: str, form: str) -> None:
    ran = six("export", "--what", what)
    assert (ran.status, ran.err) == (0, "")
    six("export", "--what", what, "--out", f"out.{form}")
    assert is_whole(ran.content, form)
    assert ran.content[:200] == (home / f"out.{form}").read_bytes()[:200]


@pytest.mark.parametrize("what", FORMS)
def test_json_is_all_there_is_on_stdout(six: Command, what: str) -> None:
    ran = six("export", "--what", what, "--json")
    assert (ran.status, ran.err) == (0, "")
    assert ran.json


def test_the_same_figures_as_season_and_practice_say(six: Command) -> None:
    season, exported = (
        six("season", "--json").json,
        six("export", "--what", "season", "--json").json,
    )
    for key in ("player", "season", "baseline", "rounds", "holes", "putts"):
        assert season[key] == exported[key]
    gained = season["strokes_gained_per_round"]
    assert same(gained["value"], exported["gained"][0]["value"])
    for key in ("months", "courses", "events"):
        assert same(season[key], exported[key])
    practice = six("practice", "--json").json["priorities"]
    found = six("export", "--what", "practice", "--json").json["priorities"]
    assert len(practice) == len(found)
    for each, other in zip(practice, found, strict=True):
        # A table has words where the JSON of a command has true and false.
        assert other.pop("default") == {True: "yes", False: "no"}[each.pop("default")]
        assert all(same(each[key], other[key]) for key in set(each) & set(other))
        assert {"drill", "pass_mark", "why", "worth_per_round"} <= set(each) & set(other)


def test_rounds_can_be_chosen(six: Command) -> None:
    dates = sorted(row["date"] for row in six("rounds", "--json").json)
    for words, kept in (
        (["--last", "2"], dates[-2:]),
        (["--since", dates[3]], dates[3:]),
        (["--until", dates[0]], dates[:1]),
        ([dates[0][:4]], dates),
    ):
        for what in ("putts", "rounds"):
            rows = six("export", *words, "--what", what, "--json").json
            assert sorted({row["date"] for row in rows}) == kept
    assert six("export", "--what", "season", "--last", "2", "--json").json["rounds"] == 2
    ran = six("export", "1999")
    assert (ran.status, ran.out) == (1, "")
    assert "2026" in ran.err


def test_players_are_kept_separate(six: Command, home: Path) -> None:
    text = CARD.format(player="Ada Brook", course="Heron Mere", event="")
    (home / "round.csv").write_text(text, encoding="utf-8")
    assert six("import", "round.csv").status == 0
    players = {row["player"] for row in six("export", "--json").json}
    assert players == {"Ada Brook", "Mara Lindqvist"}
    rows = six("export", "--last", "1", "--what", "rounds", "--json").json
    assert [row["player"] for row in rows] == ["Ada Brook", "Mara Lindqvist"]
    assert len(six("export", "--player", "ada brook", "--json").json) == 3
    ran = six("export", "--what", "season")
    assert ran.status == 2
    assert "--player" in ran.err
    ran = six("export", "--player", "Nobody")
    assert (ran.status, ran.out) == (1, "")
    assert "Players: Ada Brook" in ran.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--out", "putts"], "End it in .csv, .json, .md, .xlsx, .parquet"),
        (["--out", "putts.doc"], "'putts.doc' does not say in what form"),
        (["--what", "season", "--out", "season.parquet"], "End it in .csv, .json, .md, .xlsx."),
        (["--what", "strokes"], "strokes"),
        (["--what", "charts"], "sgputt export --what charts --out charts"),
        (["--what", "charts", "--out", "archive.sqlite"], "is a file"),
        (["--json", "--out", "putts.csv"], "--json"),
        (["--card", "1", "--what", "season"], "--what"),
        (["--out", "."], "is a folder"),
    ],
    ids=str,
)
def test_wrong_use_says_what_to_type(six: Command, words: list[str], says: str) -> None:
    ran = six("export", *words)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err.replace("\n", " ")
    assert "Traceback" not in ran.err


def test_a_file_that_cannot_be_written_is_left_as_it_was(six: Command, home: Path) -> None:
    (home / "season.md").write_text("old", encoding="utf-8")
    ran = six("export", "1999", "--what", "season", "--out", "season.md")
    assert ran.status == 1
    assert (home / "season.md").read_text(encoding="utf-8") == "old"
    ran = six("export", "--what", "rounds", "--out", "none/rounds.xlsx")
    assert ran.status == 1
    assert "none" in ran.err


def test_a_folder_that_is_not_there_is_named(six: Command) -> None:
    ran = six("export", "--out", "none/putts.csv")
    assert (ran.status, ran.out) == (1, "")
    assert "There is no folder none to write putts.csv in." in ran.err


@pytest.mark.usefixtures("one_analysis")
def test_charts_go_to_a_folder_in_plain_words(six: Command, home: Path) -> None:
    ran = six("export", "--what", "charts", "--out", "my/charts")
    assert (ran.status, ran.err) == (0, "")
    names = sorted(path.name for path in (home / "my" / "charts").iterdir())
    assert ran.out.splitlines() == [
        f"Wrote {Path('my') / 'charts' / line.rsplit(os.sep)[-1]}" for line in ran.out.splitlines()
    ]
    assert {"from-which-distances-do-strokes-go.png", "why-do-putts-miss.svg"} <= set(names)
    assert sorted(Path(line.removeprefix("Wrote ")).name for line in ran.out.splitlines()) == names
    again = six("export", "--what", "charts", "--out", "my/charts")
    assert again.out == ran.out


def test_nothing_of_the_charts_is_made_without_rounds(six: Command, home: Path) -> None:
    assert six("export", "1999", "--what", "charts", "--out", "charts").status == 1
    assert not (home / "charts").exists()


@pytest.mark.parametrize("name", NAMES)
def test_a_name_like_a_formula_survives_and_does_not_run(
    sgputt: Command, home: Path, name: str
) -> None:
    text = CARD.format(player=name, course=name, event=name)
    (home / "round.csv").write_text(text.replace("'=d", "''=d"), encoding="utf-8")
    assert sgputt("import", "round.csv").status == 0
    for form in ("csv", "parquet", "xlsx"):
        assert sgputt("export", "--out", f"putts.{form}").status == 0
    written = pl.read_csv(home / "putts.csv", infer_schema=False)
    for column in ("player", "course", "event"):
        assert not written[column][0].startswith(tuple("=+-@"))
    # Read again it is the same: by the library, and by import, from CSV and from a workbook.
    stored = pl.read_parquet(home / "putts.parquet")
    assert stored["player"][0] == name
    read = library.putts_from(home / "putts.csv")
    assert read.drop("round_id").equals(library.putts_from(home / "putts.parquet").drop("round_id"))
    # A name typed with an apostrophe before a sign loses it on its way through a workbook.
    for form in ("csv",) if name.startswith("'") else ("csv", "xlsx"):
        other = f"other-{form}.sqlite"
        assert sgputt("import", f"putts.{form}", "--archive", other).status == 0
        rows = sgputt("export", "--archive", other, "--json").json
        assert {(row["player"], row["course"], row["event"]) for row in rows} == {(name,) * 3}
    for what in ("rounds", "season", "practice", "cells"):
        out = sgputt("export", "--what", what, "--out", f"{what}.csv")
        assert (out.status, out.err) == (0, "")
        for row in pl.read_csv(home / f"{what}.csv", infer_schema=False).iter_rows():
            assert not any(str(cell).startswith(("=", "@", "+")) for cell in row)


def test_a_workbook_of_putts_does_not_run_them(sgputt: Command, home: Path) -> None:
    text = CARD.format(player="=1+1", course="@x", event="+y")
    (home / "round.csv").write_text(text, encoding="utf-8")
    sgputt("import", "round.csv")
    sgputt("export", "--out", "putts.xlsx")
    sheet = openpyxl.load_workbook(home / "putts.xlsx")["putts"]
    row = {head.value: cell for head, cell in zip(sheet[1], sheet[2], strict=True)}
    assert (row["player"].value, row["player"].data_type) == ("=1+1", "s")
    assert row["player"].quotePrefix
    assert row["date"].data_type == "d"
    assert row["distance_ft"].value == 20


def test_putts_from_off_the_green_and_unknown_lengths_come_back(
    sgputt: Command, home: Path
) -> None:
    text = (
        "date,player,course,hole,putts,putt1,putt2,surface,miss\n"
        "2025-05-03,Ada Brook,Heron Mere,1,2,30,4,off green,short\n"
        ",,,2,2,12,,,\n"
    )
    (home / "round.csv").write_text(text, encoding="utf-8")
    assert sgputt("import", "round.csv").status == 0
    sgputt("export", "--out", "putts.csv")
    assert sgputt("import", "putts.csv", "--archive", "other.sqlite").status == 0
    facts = ("source", "source_row", "round_id")
    first, second = (
        [{k: v for k, v in row.items() if k not in facts} for row in ran.json]
        for ran in (
            sgputt("export", "--json"),
            sgputt("export", "--json", "--archive", "other.sqlite"),
        )
    )
    assert first == second

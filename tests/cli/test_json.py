"""The JSON that scripts rely on, and what differs by stream and exit status."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from sgputt.practice.drills import load_drills
from tests.cli.conftest import Command, same

CARD = """\
date,player,course,hole,putts,putt1,putt2
2025-05-03,Žofie Nø,Heron Mere,1,2,20,2
,,,2,1,8,
"""
CELL = ["distance", "slope", "component", "putts", "per_round", "low", "high"]
CELL += ["shrunk_per_round", "chance_of_loss"]
PRIORITY = ["rank", "cause", "habit", "where", "drill", "why", "pass_mark", "worth_per_round"]
PRIORITY += ["low", "high", "worth_per_set", "chance_best", "minutes", "default"]
ROUND = ["round_id", "player", "date", "course", "holes", "putts", "strokes_gained", "holing"]
ROUND += ["leave", "not_split", "per_hole"]
SEASON = ["player", "season", "baseline", "rounds", "holes", "putts", "putts_per_round"]
SEASON += ["three_putts_per_round", "strokes_gained_per_round", "cells", "priorities"]


def in_order(found: dict[str, Any], needed: list[str]) -> bool:
    """Whether the needed keys are all there, in their order; further keys may stand among them."""
    return [key for key in found if key in needed] == needed


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds in the archive."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    return sgputt


def test_expect(sgputt: Command) -> None:
    (row,) = sgputt("expect", "8ft", "--json").json
    assert list(row) == ["distance_ft", "expected_putts", "one_putt", "slope", "baseline"]
    assert (row["distance_ft"], row["slope"], row["baseline"]) == (8.0, None, "tour")
    assert 1 < row["expected_putts"] < 2
    assert 0 < row["one_putt"] < 1


def test_expect_of_several_lengths_in_several_units(sgputt: Command) -> None:
    rows = sgputt("expect", "8 ft", "3.7m", "12'6\"", "8", "paces", "--json").json
    assert [row["distance_ft"] for row in rows] == [8, pytest.approx(12.1391), 12.5, 24]
    bare = sgputt("expect", "2.5", "--unit", "m", "--json").json
    assert bare[0]["distance_ft"] == pytest.approx(8.2021)


def test_round(six: Command) -> None:
    found = six("round", "2", "--json").json
    assert in_order(found, ROUND)
    assert found["round_id"] == 2
    assert found["holes"] == 18 == len(found["per_hole"])
    assert list(found["per_hole"][0]) == ["hole", "putts", "first_putt_ft", "strokes_gained"]
    assert [row["hole"] for row in found["per_hole"]] == list(range(1, 19))
    parts = found["holing"] + found["leave"] + found["not_split"]
    assert found["strokes_gained"] == pytest.approx(parts)
    assert sum(row["putts"] for row in found["per_hole"]) == found["putts"]
    by_hole = sum(row["strokes_gained"] for row in found["per_hole"])
    assert found["strokes_gained"] == pytest.approx(by_hole)


def test_the_latest_round_without_an_id(six: Command) -> None:
    dates = {row["round_id"]: row["date"] for row in six("rounds", "--json").json}
    assert six("round", "--json").json["date"] == max(dates.values())


def test_season(six: Command) -> None:
    found = six("season", "--json").json
    assert in_order(found, SEASON)
    assert list(found["strokes_gained_per_round"]) == ["value", "low", "high", "level"]
    gained = found["strokes_gained_per_round"]
    assert gained["low"] < gained["value"] < gained["high"]
    assert gained["level"] == 0.9
    assert found["rounds"] == 6
    assert found["putts_per_round"] == pytest.approx(found["putts"] * 18 / found["holes"])
    assert found["cells"]
    for cell in found["cells"]:
        assert in_order(cell, CELL)
        assert cell["slope"] in ("uphill", "level", "downhill", "any")
        assert cell["component"] in ("holing", "leave")
        assert 0 <= cell["chance_of_loss"] <= 1
    whole = sum(cell["putts"] for cell in found["cells"] if cell["slope"] == "any") / 2
    assert whole <= found["putts"]
    assert same(found["priorities"], six("practice", "--json").json["priorities"])


def test_practice(six: Command) -> None:
    found = six("practice", "--json").json
    assert list(found) == ["player", "rounds", "stands_out", "priorities", "step"]
    assert (found["player"], found["rounds"], found["stands_out"]) == ("Mara Lindqvist", 6, False)
    drills = {drill.id: drill for drill in load_drills()}
    priorities = found["priorities"]
    assert [each["rank"] for each in priorities] == list(range(1, len(priorities) + 1))
    assert [each["default"] for each in priorities] == [True] + [False] * (len(priorities) - 1)
    for each in priorities:
        assert list(each) == PRIORITY
        assert list(each["where"]) == ["distance", "slope", "break"]
        assert each["cause"] in ("read", "direction", "pace")
        assert each["minutes"] == drills[each["drill"]].minutes
        assert each["low"] <= each["worth_per_round"] <= each["high"]
        assert 0 <= each["worth_per_set"] <= each["worth_per_round"]
        assert each["why"] and each["pass_mark"]


def test_import(sgputt: Command, home: Path) -> None:
    (home / "round.csv").write_text(CARD, encoding="utf-8")
    ran = sgputt("import", "round.csv", "--json")
    counts = {"file": "round.csv", "rows": 3, "stored": 2, "without_putts": 1, "not_stored": []}
    nothing: dict[str, list[int]] = {"stored": [], "unchanged": [], "replaced": [], "problems": []}
    assert ran.json == {**nothing, "stored": [1], "files": [counts]}
    assert (ran.status, ran.err) == (0, "")
    again = sgputt("import", "round.csv", "--json")
    assert again.json == {**nothing, "unchanged": [1], "files": [counts]}
    assert again.status == 0


def test_import_of_a_bad_card(sgputt: Command, home: Path) -> None:
    bad = CARD.replace("2,1,8,", "2,1,eight,").replace("1,2,20,2", "1,2,-20,2")
    (home / "bad.csv").write_text(bad, encoding="utf-8")
    ran = sgputt("import", "bad.csv", "--json")
    assert ran.status == 1
    assert ran.json["stored"] == []
    first, second = ran.json["problems"]
    for problem in (first, second):
        assert list(problem) == ["file", "row", "column", "value", "allowed", "hint"]
        assert problem["allowed"] and problem["hint"]
    assert (first["file"], first["row"], first["column"], first["value"]) == (
        "bad.csv",
        2,
        "putt1",
        "-20",
    )
    (counts,) = ran.json["files"]
    assert counts["rows"] == 3 and counts["stored"] == 0 and counts["not_stored"] == [2, 3]
    assert (second["row"], second["column"], second["value"]) == (3, "putt1", "eight")
    assert sgputt("rounds", "--json").json == []


def test_rounds_and_remove(six: Command) -> None:
    rows = six("rounds", "--json").json
    assert [row["round_id"] for row in rows] == [1, 2, 3, 4, 5, 6]
    assert six("remove", "2", "5", "--json").json == {"removed": [2, 5]}
    assert [row["round_id"] for row in six("rounds", "--json").json] == [1, 3, 4, 6]


def test_check_and_drills_and_export(six: Command, home: Path) -> None:
    (home / "round.csv").write_text(CARD, encoding="utf-8")
    found = six("check", "round.csv", "--json").json
    assert found["rounds"][0]["player"] == "Žofie Nø"
    assert found["problems"] == []
    assert {row["id"] for row in six("drills", "--json").json} == {d.id for d in load_drills()}
    putts = six("export", "--json").json
    assert len(putts) == sum(row["putts"] for row in six("rounds", "--json").json)


ALL_JSON = [
    ["check", "round.csv"],
    ["import", "round.csv"],
    ["rounds"],
    ["round"],
    ["season"],
    ["practice"],
    ["drills"],
    ["expect", "8ft"],
    ["export"],
    ["remove", "1"],
]


@pytest.mark.parametrize("words", ALL_JSON, ids=lambda words: words[0])
def test_nothing_but_json_on_stdout(words: list[str], home: Path, demo_archive: Path) -> None:
    """In a process of its own, so that nothing a library prints is missed."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    (home / "round.csv").write_text(CARD, encoding="utf-8")
    start = "from sgputt_cli.main import run; run()"
    line = [sys.executable, "-W", "error", "-c", start, *words, "--json"]
    if words[0] in ("season", "practice", "round", "rounds", "export"):
        line += ["--player", "mara lindqvist"]
    done = subprocess.run(line, capture_output=True, env=os.environ, check=False, timeout=60)
    assert done.stderr == b""
    assert done.returncode == 0
    json.loads(done.stdout)
    assert done.stdout.endswith(b"\n")
    assert b"\x1b" not in done.stdout
    assert b"NaN" not in done.stdout

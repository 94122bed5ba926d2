"""``sgputt stroke``, ``sgputt baselines``, and the other baselines by name."""

from __future__ import annotations

import io
import re
import shutil
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.baseline.catalogue import PUBLIC, baseline_names, get_baseline
from sgputt.wording import stroke_size
from tests.cli.conftest import Command, command

OTHER = "date,player,course,hole,putts,putt1,putt2\n2025-05-03,Ada Brook,Heron Mere,1,2,20,2\n"
HABIT = ["habit", "where", "size", "low", "high", "unit", "chance", "told", "worth_per_round"]
HABITS = ["too little break", "too much break", "left", "right", "short", "long"]
WHERE = ["all", "left to right", "right to left", "uphill", "downhill", "fast greens"]
FACTS = ["name", "title", "source", "era", "limits", "approximate", "low_ft", "high_ft"]
NAMES = list(baseline_names())


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds of one player in the archive."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    return sgputt


@pytest.fixture
def two_players(six: Command, home: Path) -> Command:
    """And one hole of another."""
    (home / "other.csv").write_text(OTHER, encoding="utf-8")
    assert six("import", "other.csv").status == 0
    return six


def flat(text: str) -> str:
    """Text without its line breaks, for it is wrapped."""
    return " ".join(text.split())


def test_stroke_in_words(six: Command) -> None:
    ran = six("stroke")
    assert (ran.status, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 80
    text = flat(ran.out)
    assert "The parts of your stroke" in text
    for part in ("read", "direction", "pace"):
        assert re.search(rf"^{part} .*\d.*\(.*\d to .*\d\)", ran.out, re.MULTILINE)
    assert "What misses were" in text
    assert "The step is a yardstick, not what practice brings" in text
    assert "A model: greens are planes" in text
    assert "nan" not in text.lower()


def test_stroke_as_json(six: Command) -> None:
    found = six("stroke", "--json").json
    assert list(found)[:6] == ["player", "rounds", "putts", "parts", "habits", "misses"]
    assert found["player"] == "Mara Lindqvist"
    assert found["rounds"] == 6
    assert [each["part"] for each in found["parts"]] == ["read", "direction", "pace"]
    for each in found["parts"]:
        assert {"part", "value", "low", "high", "unit", "tour", "worth_per_round"} <= set(each)
        assert each["low"] < each["value"] < each["high"]
        assert set(each["worth_per_round"]) == {"value", "low", "high"}
    for each in found["habits"]:
        assert set(HABIT) <= set(each)
        assert each["habit"] in HABITS and each["where"] in WHERE
        assert 0 <= each["low"] <= each["size"] <= each["high"]
        assert 0.5 <= each["chance"] <= 1
    assert [each["cause"] for each in found["misses"]] == ["read", "direction", "pace"]
    assert sum(each["share"] for each in found["misses"]) == pytest.approx(1)


def test_the_same_stroke_stands_in_the_season(six: Command) -> None:
    stroke = six("stroke", "--json").json
    season = six("season", "--json").json["stroke"]
    assert season == {key: value for key, value in stroke.items() if key != "player"}


def test_the_page_has_the_figures_of_the_terminal(six: Command, home: Path) -> None:
    assert six("season", "--out", "season.html").status == 0
    page = (home / "season.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    for part in six("stroke", "--json").json["parts"]:
        for size in ("value", "better", "tour"):
            said = stroke_size(part[size], part["unit"])
            assert f"<td>{said}" in page, (part["part"], size, said)


def test_stroke_of_a_year(six: Command) -> None:
    assert six("stroke", "2026", "--json").json == six("stroke", "--json").json
    ran = six("stroke", "1999")
    assert (ran.status, ran.out) == (1, "")
    assert "no round in 1999" in ran.err and "2026" in ran.err


def test_too_few_putts_are_said_with_what_it_would_take(sgputt: Command, home: Path) -> None:
    (home / "other.csv").write_text(OTHER, encoding="utf-8")
    assert sgputt("import", "other.csv").status == 0
    ran = sgputt("stroke")
    assert (ran.status, ran.err) == (0, "")
    assert "Too few putts to fit a stroke: 2 putts, 1 miss" in flat(ran.out)
    assert "It takes 60 putts with 15 misses" in flat(ran.out)
    assert "worth" not in ran.out
    found = sgputt("stroke", "--json").json
    assert (found["parts"], found["habits"], found["misses"]) == ([], [], [])
    assert "Too few putts" in found["too_few"]
    assert sgputt("season", "--json").json["stroke"]["parts"] == []


def test_stroke_without_rounds_says_the_way_on(sgputt: Command) -> None:
    ran = sgputt("stroke", "--json")
    assert (ran.status, ran.out) == (1, "")
    assert "sgputt import" in ran.err


def test_baselines_are_listed_with_source_and_limits(six: Command) -> None:
    ran = six("baselines")
    assert (ran.status, ran.err) == (0, "")
    text = flat(ran.out)
    for name in NAMES:
        approximate = " (approximate)" if name not in ("tour", "tour 1988") else ""
        assert f"{name}{approximate}:" in text
    assert text.count("Limits:") == len(NAMES)
    assert "Broadie 2018" in text and "Berry 1996" in text and "6 stored rounds" in text


def test_baselines_as_json(six: Command) -> None:
    rows = six("baselines", "--json").json
    assert [row["name"] for row in rows] == NAMES
    for row in rows:
        assert list(row) == FACTS
        assert (row["low_ft"], row["high_ft"]) == (0.5, 100.0)
        assert row["approximate"] == (row["name"] in ("club", "own", "squad"))
        assert row["title"] and row["source"] and row["era"] and row["limits"]


def test_without_rounds_only_the_public_ones_are_listed(sgputt: Command) -> None:
    ran = sgputt("baselines", "--json")
    assert ran.status == 0
    assert [row["name"] for row in ran.json] == list(PUBLIC)
    for name in ("own", "squad"):
        assert f"no baseline '{name}'" in ran.err


@pytest.mark.parametrize("name", NAMES)
def test_the_table_of_one(six: Command, home: Path, name: str) -> None:
    ran = six("baselines", name)
    assert (ran.status, ran.err) == (0, "")
    assert "expected putts" in ran.out and "100 ft" in ran.out and "Limits:" in ran.out
    written = six("baselines", name, "--out", "table.csv")
    assert (written.status, written.out) == (0, "Wrote table.csv\n")
    table = pl.read_csv(home / "table.csv")
    assert table.columns[:3] == ["distance_ft", "one_putt", "expected_putts"]
    found = six("baselines", name, "--json").json
    assert [key for key in found if key in FACTS] == FACTS
    assert [row["expected_putts"] for row in found["table"]] == pytest.approx(
        table["expected_putts"].to_list()
    )
    if name in NAMES[:3]:
        assert table.equals(get_baseline(name).table)


def test_out_with_json_writes_both_and_says_nothing_more(six: Command, home: Path) -> None:
    ran = six("baselines", "club", "--out", "club.csv", "--json")
    assert ran.status == 0
    assert ran.json["name"] == "club"
    stored = pl.read_csv(io.BytesIO((home / "club.csv").read_bytes()))
    assert stored.height == len(ran.json["table"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["baselines", "nope"], "no baseline 'nope'"),
        (["season", "--baseline", "Tour"], f"Choose one of: {', '.join(NAMES)}"),
    ],
    ids=" ".join,
)
def test_a_wrong_name_lists_those_there_are(six: Command, words: list[str], says: str) -> None:
    ran = six(*words)
    assert (ran.status, ran.out) == (2, "")
    assert says in flat(ran.err)


def test_own_needs_one_player_and_squad_takes_all(two_players: Command) -> None:
    ran = two_players("expect", "8ft", "--baseline", "own")
    assert (ran.status, ran.out) == (2, "")
    assert "--player: Ada Brook, Mara Lindqvist" in flat(ran.err)
    own = two_players("baselines", "own", "--player", "ada brook", "--json").json
    squad = two_players("baselines", "squad", "--json").json
    assert own["source"].startswith("1 stored round")
    assert squad["source"].startswith("7 stored round")
    ran = two_players("baselines")
    assert ran.status == 0
    assert "Note: no baseline 'own': There are several players" in flat(ran.err)


@pytest.fixture(scope="module")
def against_tour(demo_archive: Path) -> Any:
    """The six rounds against the tour."""
    return command("season", "--json", "--archive", demo_archive).json


@pytest.mark.parametrize("name", ["own", "squad", "club", "tour 1988"])
def test_a_season_against_another_baseline(six: Command, against_tour: Any, name: str) -> None:
    ran = six("season", "--baseline", name)
    assert (ran.status, ran.err) == (0, "")
    approximate = "" if name == "tour 1988" else " (approximate)"
    assert f"Strokes gained a round against {name}{approximate}: " in flat(ran.out)
    found = six("season", "--baseline", name, "--json").json
    assert (found["baseline"], found["baseline_approximate"]) == (name, bool(approximate))
    tour = against_tour
    assert found["putts"] == tour["putts"]
    gained, less = (each["strokes_gained_per_round"]["value"] for each in (found, tour))
    assert gained > less
    # The stroke is the player's own, whoever they are compared with.
    assert found["stroke"]["parts"] == tour["stroke"]["parts"]


def test_squad_of_one_player_is_own(six: Command) -> None:
    own, squad = (six("baselines", name, "--json").json["table"] for name in ("own", "squad"))
    assert own == squad

"""Compare, squad, and rounds narrowed by --last, --since and --until, as a user types them."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from sgputt_cli.squad import short_names
from tests.cli.conftest import Command

# Of two years and two players; every figure is one hole's, so a round of 18 is 18 times it.
CARDS = """\
date,player,course,event,hole,putts,putt1,putt2,stimp
2025-05-03,Ada Brook,Heron Mere,Medal,1,2,20,2,9
2025-06-07,Ada Brook,Heron Mere,,1,2,20,2,9
2026-05-02,Ada Brook,Quarry Hill,Open,1,1,8,,11
2026-06-06,Ada Brook,Quarry Hill,,1,2,8,1,11
2026-05-02,Bo Ferrer,Quarry Hill,,1,1,8,,
"""


@pytest.fixture
def few(sgputt: Command, home: Path) -> Command:
    (home / "cards.csv").write_text(CARDS.replace(",stimp\n", ",stimp_ft\n"), encoding="utf-8")
    ran = sgputt("import", "cards.csv")
    assert (ran.status, ran.err) == (0, "")
    return sgputt


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    shutil.copy(demo_archive, home / "archive.sqlite")
    return sgputt


def expected(sgputt: Command, *lengths: str) -> list[float]:
    rows = sgputt("expect", *lengths, "--json").json
    return [row["expected_putts"] for row in rows]


def test_two_years(few: Command) -> None:
    found = few("compare", "2025", "2026", "--player", "ada brook", "--json").json
    assert list(found)[:6] == [
        "who",
        "baseline",
        "baseline_approximate",
        "first",
        "second",
        "difference",
    ]
    e20, e8 = expected(few, "20ft", "8ft")
    assert (found["who"], found["first"]["name"], found["second"]["name"]) == (
        "Ada Brook",
        "2025",
        "2026",
    )
    assert found["difference"]["value"] == pytest.approx(18 * (e8 - 1.5 - (e20 - 2)))
    assert [row["component"] for row in found["components"]] == ["holing", "leave"]
    assert [row["distance"] for row in found["distances"]] == ["0-3 ft", "7-10 ft", "15-25 ft"]
    turned = few("compare", "2026", "2025", "--player", "Ada Brook", "--json").json
    assert turned["difference"]["value"] == pytest.approx(-found["difference"]["value"])


def test_before_and_after_a_day(few: Command) -> None:
    words = ["compare", "--player", "Ada Brook", "--before", "2026-06-06"]
    found = few(*words, "--json").json
    assert (found["first"]["rounds"], found["second"]["rounds"]) == (3, 1)
    assert found["difference"]["low"] is None
    assert found["words"] == "Cannot be told from luck: one round only (from 2026-06-06 on)."
    narrowed = few(*words, "--since", "2026-01-01", "--json").json
    assert narrowed["first"]["rounds"] == 1
    text = few(*words)
    assert (text.status, text.err) == (0, "")
    assert "one round only" in text.out


def test_two_players(few: Command) -> None:
    words = ["compare", "--player", "Ada Brook", "--against", "bo ferrer", "--json"]
    found = few(*words).json
    assert (found["first"]["name"], found["second"]["name"]) == ("Ada Brook", "Bo Ferrer")
    assert found["first"]["rounds"] == 4
    assert few(*words, "2026").json["first"]["rounds"] == 2
    assert few(*words, "--last", "1").json["first"]["rounds"] == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "Say which two to compare"),
        (["2025"], "Say which two to compare"),
        (["2024", "2025", "2026"], "Say which two to compare"),
        (["2025", "2026", "--before", "2026-06-01"], "Say which two to compare"),
        (["--before", "2026-06-01", "--against", "Bo Ferrer"], "Say which two to compare"),
        (["2025", "2025"], "Name two years"),
        (["--against", "ADA BROOK"], "Name another player"),
        (["--before", "1.6.2026"], "Write it year first, as in 2026-06-01"),
        (
            ["--before", "2026-06-01", "--since", "2026-02-01", "--until", "2026-01-01"],
            "comes after",
        ),
        (["--before", "2026-06-01", "--last", "0"], "--last"),
    ],
    ids=" ".join,
)
def test_wrong_use_of_compare(few: Command, words: list[str], says: str) -> None:
    ran = few("compare", "--player", "Ada Brook", *words)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["compare", "2024", "2026"], "has no round in 2024.\n  There are rounds in: 2025, 2026."),
        (["compare", "--before", "2020-01-01"], "no round before 2020-01-01.\n  There are rounds"),
        (["compare", "--against", "Nobody"], "no round of 'Nobody'"),
        (["season", "--since", "2027-01-01"], "no round from 2027-01-01 on.\n  There are rounds"),
        (["season", "2026", "--until", "2026-01-31"], "no round up to 2026-01-31"),
        (["practice", "--until", "2020-01-01"], "no round up to 2020-01-01"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else None,
)
def test_rounds_that_are_not_there(few: Command, words: list[str], says: str) -> None:
    ran = few(*words, "--player", "Ada Brook")
    assert (ran.status, ran.out) == (1, "")
    assert says in ran.err


def test_narrowed_seasons(few: Command) -> None:
    words = ["season", "--player", "Ada Brook", "--json"]
    assert few(*words).json["season"] == "2025-2026"
    last = few(*words, "--last", "3").json
    assert (last["rounds"], last["season"]) == (3, "2025-06-07 to 2026-06-06")
    middle = few(*words, "--since", "2025-06-07", "--until", "2026-05-02").json
    assert [row["date"] for row in middle["trend"]] == ["2025-06-07", "2026-05-02"]
    # The last rounds of those of the year and days asked for, not of all.
    one = few(*words, "2025", "--last", "1").json
    assert (one["rounds"], one["season"]) == (1, "2025-06-07")
    assert few(*words, "--last", "99").json["rounds"] == 4
    practice = ["practice", "--player", "Ada Brook", "--json"]
    assert few(*practice, "--since", "2026-01-01").json["rounds"] == 2


def test_what_a_season_shows_beside_its_summary(few: Command) -> None:
    found = few("season", "--player", "Ada Brook", "--json").json
    e20, e8 = expected(few, "20ft", "8ft")
    assert [row["month"] for row in found["months"]] == ["2025-05", "2025-06", "2026-05", "2026-06"]
    assert [row["event"] for row in found["events"]] == ["Medal", "Open"]
    courses = {row["course"]: row["per_round"] for row in found["courses"]}
    assert courses == pytest.approx({"Heron Mere": 18 * (e20 - 2), "Quarry Hill": 18 * (e8 - 1.5)})
    assert [row["stimp"] for row in found["stimps"]] == ["8-9 ft", "10-11 ft"]
    assert [row["break"] for row in found["breaks"]] == ["unknown"]
    assert [row["putt"] for row in found["first_and_later"]] == ["first putt", "later putts"]
    assert [row["over"] for row in found["trend"]] == [1, 2, 3, 4]
    best, worst = found["best"][0], found["worst"][0]
    assert (best["date"], worst["date"]) == ("2026-05-02", "2026-06-06")
    assert best["strokes_gained"] == pytest.approx(e8 - 1)
    assert best["putts"][0]["distance_ft"] == 8.0
    figures = found["figures"]
    assert (figures["one_putts"]["holes"], figures["one_putts"]["of"]) == (1, 4)
    assert figures["feet_holed_per_round"]["value"] == pytest.approx(18 * (2 + 2 + 8 + 1) / 4)
    assert len(figures["by_round"]) == 4


def test_the_season_on_a_screen(six: Command) -> None:
    ran = six("season")
    assert max(map(len, ran.out.splitlines())) <= 80
    assert len(ran.out.splitlines()) <= 44
    for text in ("One putt on", "Last 5 rounds:", "By month:", "Best round", "Worst round"):
        assert text in ran.out
    one = six("season", "--last", "1")
    assert one.status == 0
    assert "Best round" not in one.out and "By month" not in one.out


def names(found: dict[str, Any]) -> list[str]:
    return [each["player"] for each in found["players"]]


def test_squad(few: Command) -> None:
    found = few("squad", "--json").json
    assert list(found) == [
        "baseline",
        "baseline_approximate",
        "headline",
        "players",
        "absent",
        "losses",
        "groups",
        "session",
        "changes",
    ]
    assert names(found) == ["Bo Ferrer", "Ada Brook"]
    assert [each["few_rounds"] for each in found["players"]] == [True, True]
    assert {row["player"] for row in found["losses"]} == {"Ada Brook", "Bo Ferrer"}
    for drill in found["groups"]:
        worth = sum(each["worth_per_round"] for each in drill["players"])
        assert drill["worth_per_round"] == pytest.approx(worth)
    early = few("squad", "--until", "2025-12-31", "--json").json
    assert (names(early), early["absent"]) == (["Ada Brook"], ["Bo Ferrer"])


def test_one_group_does_not_go_round_stations(few: Command, home: Path) -> None:
    ran = few("squad", "--out", "squad.html")
    several = len(few("squad", "--json").json["groups"]) > 1
    page = (home / "squad.html").read_text(encoding="utf-8")
    assert ("A session together" in page, "A session of" in ran.out) == (several, several)
    alone = few("squad", "--until", "2025-12-31", "--out", "squad.html")
    assert "A session of" not in alone.out and "sgputt squad --sheets" in alone.out
    assert "A session together" not in (home / "squad.html").read_text(encoding="utf-8")


def test_the_squad_as_markdown(few: Command, home: Path) -> None:
    """A page was written into squad.md."""
    assert few("squad", "--out", "squad.md").status == 0
    text = (home / "squad.md").read_text(encoding="utf-8")
    assert text.startswith("# Squad: 2 players") and "<html" not in text
    assert "## Has the putting changed?" in text and "| Bo Ferrer | 1 |" in text
    assert few("squad", "--json").json["changes"] in text


def test_terminal_page_markdown_and_json_say_the_same_of_every_group(
    few: Command, home: Path
) -> None:
    ran = few("squad", "--out", "squad.html")
    page = " ".join((home / "squad.html").read_text(encoding="utf-8").split())
    assert few("squad", "--out", "squad.md").status == 0
    text = (home / "squad.md").read_text(encoding="utf-8")
    found = few("squad", "--json").json
    said = " ".join(ran.out.split())
    assert said.startswith(f"2 players. {found['headline']}")
    for group in found["groups"]:
        title = group["title"][0].upper() + group["title"][1:]
        assert all(title in each for each in (said, page, text))
        for row in group["players"]:
            other = row["first_alone"] != group["drill"]
            words = f"Alone, first: {row['first_alone_name']}"
            assert [words in each for each in (said, page, text)] == [other] * 3


def test_the_squad_on_a_screen(few: Command) -> None:
    ran = few("squad", "--until", "2025-12-31")
    assert (ran.status, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "Too few rounds to know" in ran.out
    assert "No round asked for of: Bo Ferrer." in ran.out
    assert few("squad", "--since", "2030-01-01").status == 1
    own = few("squad", "--baseline", "own")
    assert own.status == 2 and "one player's baseline" in own.err


@pytest.mark.parametrize("words", [["squad"], ["compare", "2025", "2026"]], ids=" ".join)
def test_without_an_archive_the_way_on_is_said(sgputt: Command, words: list[str]) -> None:
    ran = sgputt(*words)
    assert (ran.status, ran.out) == (1, "")
    assert "sgputt import" in ran.err


def test_a_comparison_fits_80_columns(six: Command) -> None:
    ran = six("compare", "--before", "2026-04-01")
    assert (ran.status, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "Cannot be told from luck" in ran.out or "More than luck explains" in ran.out


def test_long_names_stay_on_a_line_of_a_table_unless_two_look_alike() -> None:
    long, alike, other = "Wilhelmina Featherstonehaugh", "x" * 30 + "a", "x" * 30 + "b"
    assert short_names(["Ada Brook", long, alike, other]) == {
        "Ada Brook": "Ada Brook",
        long: "Wilhelmina Featherstone…",
        alike: alike,
        other: other,
    }

"""``sgputt putt`` and ``sgputt course`` as they are typed."""

from __future__ import annotations

import pytest

from sgputt.demo import DEMO_PLAYER
from tests.cli.conftest import Command

KEYS = [
    "distance_ft",
    "stimp_ft",
    "grade",
    "direction_deg",
    "break_in",
    "past_ft",
    "level_roll_ft",
    "best_past_ft",
    "make",
    "expected_putts",
    "tour_make",
]


def test_json_of_putts_without_an_archive(sgputt: Command) -> None:
    rows = sgputt("putt", "8", "3 m", "12'6\"", "--past", "1", "--json").json
    assert len(rows) == 15
    assert all(list(row) == KEYS for row in rows)
    assert [row["direction_deg"] for row in rows[:5]] == [0, 45, 90, 135, 180]
    assert [row["distance_ft"] for row in rows[::5]] == pytest.approx([8, 3 / 0.3048, 12.5])
    assert {row["past_ft"] for row in rows} == {1}
    assert {(row["stimp_ft"], row["grade"]) for row in rows} == {(10, 0.02)}
    # Without rounds of anybody's the player is the tour.
    assert all(row["make"] == row["tour_make"] for row in rows)


@pytest.mark.parametrize("grade", ["2%", "2 %", "2", "0.02", "2,0 %", " 0,02"])
def test_grades_as_people_type_them(sgputt: Command, grade: str) -> None:
    (row, *_) = sgputt("putt", "8", "--grade", grade, "--json").json
    assert row["grade"] == pytest.approx(0.02)


@pytest.mark.parametrize("stimp", ["11", "11 ft", "11'", "3.3528 m", "3.353 m"])
def test_speeds_as_people_type_them(sgputt: Command, stimp: str) -> None:
    for words in (["putt", "8"], ["course"]):
        assert "stimp 11 ft" in sgputt(*words, "--stimp", stimp).out
    (row, *_) = sgputt("putt", "8", "--stimp", stimp, "--json").json
    assert row["stimp_ft"] == pytest.approx(11, abs=0.001)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["8", "--grade", "0.2"], "if it is percent"),
        (["8", "--grade", "steep"], "2% or 2"),
        (["8", "--stimp", "3"], "3 m"),
        (["8", "--stimp", "fast"], "--stimp"),
        (["8", "--past", "12"], "0 to 4.5 ft"),
        (["far"], "not a length"),
        (["200"], "0.5 to 100 ft"),
        (["8", "--grade", "9%", "--stimp", "12"], "does not stop"),
    ],
)
def test_what_is_wrong_is_said_with_what_to_type(
    sgputt: Command, words: list[str], said: str
) -> None:
    ran = sgputt("putt", *words)
    assert ran.status == 2
    assert said in ran.err
    assert ran.out == ""


@pytest.mark.parametrize(("past", "feet"), [("0", 0), ("0 in", 0), ("18 in", 1.5), ("0,5", 0.5)])
def test_paces_as_people_type_them(sgputt: Command, past: str, feet: float) -> None:
    (row, *_) = sgputt("putt", "8", "--past", past, "--json").json
    assert row["past_ft"] == pytest.approx(feet)


def test_a_putt_reads_in_80_columns_with_the_rule(sgputt: Command) -> None:
    out = sgputt("putt", "8", "60", "--grade", "4%").out
    assert max(map(len, out.splitlines())) <= 80
    assert out.count("Rule 4.3a") == 1
    assert "a tour player" in out
    assert "straight above" in out
    assert "below, to the side" in out


def test_a_level_putt_has_one_row_and_no_break(sgputt: Command) -> None:
    out = sgputt("putt", "8", "--grade", "0", "--past", "0").out
    assert "anywhere" in out
    assert "as level" in out
    assert "to die in the hole" in out


def test_a_players_own_chance_stands_beside_the_tours(sgputt: Command) -> None:
    demo = ("--archive", "demo.sqlite")
    assert sgputt("demo", "--out", "season.html", *demo).status == 0
    out = sgputt("putt", "8", *demo).out
    assert out.startswith(DEMO_PLAYER)
    assert " you " in out
    (row, *_) = sgputt("putt", "8", *demo, "--json").json
    assert row["make"] != row["tour_make"]


def test_lengths_are_shown_in_metres_where_so_set(sgputt: Command) -> None:
    sgputt("settings", "--shown-in", "metres")
    out = sgputt("putt", "3 m").out
    assert "3 m, to stop" in out
    assert " mm" in out
    assert " ft" not in out.partition("3 m, ")[2].partition("A model")[0]
    assert "0.9 m" in sgputt("course").out
    assert "2.4 m" in sgputt("expect", "8").out


def test_json_of_a_course_keeps_its_form(sgputt: Command) -> None:
    found = sgputt("course", "--stimp", "11", "--grade", "2%", "--json").json
    # As version 0.1 wrote it, and what came since.
    assert {"player", "stroke", "stroke_from", "stimp_ft", "grade"} <= set(found)
    assert {"approach", "aims", "lag_from_ft", "assumption"} <= set(found)
    assert {"line_deg", "pace_share"} <= set(found["stroke"])
    assert (found["stimp_ft"], found["grade"]) == (11, 0.02)
    row = found["approach"][0]
    assert {"distance_ft", "uphill", "level", "downhill", "cost"} <= set(row)
    assert row["cost"] == pytest.approx(row["downhill"] - row["uphill"])
    keys = {"slope", "distance_ft", "best_aim_ft", "expected_putts", "charge_cost", "die_cost"}
    assert all(keys | {"direction_deg"} == set(each) for each in found["aims"])
    directions = {each["slope"]: each["direction_deg"] for each in found["aims"]}
    assert directions == {"uphill": 180, "level": 90, "downhill": 0}
    assert set(found["lag_from_ft"]) == set(directions)


def test_a_course_of_level_greens(sgputt: Command) -> None:
    out = sgputt("course", "--grade", "0", "--out", "course.html").out
    assert "level: from" in out
    assert "uphill" not in out
    assert max(map(len, out.splitlines())) <= 80


def test_a_course_on_which_a_ball_does_not_stop(sgputt: Command) -> None:
    ran = sgputt("course", "--grade", "8%", "--stimp", "12")
    assert ran.status == 2
    assert "does not stop" in ran.err
    assert "give a slope below" in ran.err
    assert "does not stop" in sgputt("course").out

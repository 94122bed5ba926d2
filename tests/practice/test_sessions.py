"""Sets as practised: their rules, files of many, histories with intervals and trends."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest

from sgputt.inference.intervals import wilson_interval
from sgputt.practice.drills import load_drills
from sgputt.practice.log import histories
from sgputt.practice.marks import NOBODY, mark_of_set, pass_mark
from sgputt.practice.session import (
    Session,
    complete,
    faults,
    mark_json,
    passed,
    sessions_frame,
)
from sgputt.practice.session_file import DateError, SessionReading, read_sessions

DRILLS = {drill.id: drill for drill in load_drills()}
TODAY = date(2026, 11, 25)
DAY = date(2026, 5, 3)
COUNT, STREAK = "circle-of-eight-5ft", "five-in-a-row-6ft"


def a_set(
    drill: str = COUNT, balls: int | None = 40, made: int | None = 29, **more: Any
) -> Session:
    return Session("Mara Lindqvist", more.pop("day", DAY), drill, balls, made, **more)


def columns(session: Session) -> list[str]:
    return [fault.column for fault in faults(session, DRILLS[session.drill], TODAY)]


@pytest.mark.parametrize(
    ("session", "wrong"),
    [
        (a_set(), []),
        (a_set(made=0), []),
        (a_set(made=41), ["successes"]),
        (a_set(made=None), ["successes"]),
        (a_set(made=-1), ["successes"]),
        (a_set(balls=0, made=0), ["balls"]),
        (a_set(balls=None), ["balls"]),
        (a_set(balls=1001), ["balls"]),
        (a_set(restarts=2), ["restarts"]),
        (a_set(minutes=0.0), ["minutes"]),
        (a_set(minutes=float("nan")), ["minutes"]),
        (a_set(minutes=0.1), ["minutes"]),
        (a_set(minutes=1.9), ["minutes"]),
        (a_set(minutes=2.0), []),
        (a_set(day=TODAY + timedelta(days=2)), ["date"]),
        (a_set(day=date(1900, 1, 1)), ["date"]),
        (a_set(note="x" * 501), ["note"]),
        (a_set(STREAK, 30, 25, restarts=5), []),
        (a_set(STREAK, 30, 25, restarts=4), []),
        (a_set(STREAK, 30, 27, restarts=4), ["successes"]),
        # Every miss starts again, and a set of five in a row with two restarts is over by ball 15.
        (a_set(STREAK, 20, 12, restarts=2), ["successes"]),
        (a_set(STREAK, 20, 18, restarts=2), ["restarts"]),
        (a_set(STREAK, 15, 13, restarts=2), []),
        (a_set(STREAK, 20, 18), []),
        (a_set(STREAK, 30, None, restarts=31), ["restarts"]),
        (a_set(STREAK, 30, None), ["successes"]),
    ],
    ids=str,
)
def test_rules(session: Session, wrong: list[str]) -> None:
    assert columns(session) == wrong


def test_restarts_of_a_streak_tell_its_successes() -> None:
    whole = complete(a_set(STREAK, 30, None, restarts=5), DRILLS[STREAK])
    assert whole.successes == 25
    assert complete(a_set(made=None), DRILLS[COUNT]).successes is None


def row(session: Session, **mark: Any) -> dict[str, Any]:
    kept = json.dumps(mark) if mark else None
    return {**sessions_frame([session]).row(0, named=True), "pass_mark": kept}


@pytest.mark.parametrize(
    ("session", "mark", "reached"),
    [
        (a_set(made=29), {"successes": 29, "balls": 40, "in_a_row": None}, True),
        (a_set(made=28), {"successes": 29, "balls": 40, "in_a_row": None}, False),
        # Too few balls for a set, or too many to know which: neither passed nor failed.
        (a_set(balls=3, made=3), {"successes": 29, "balls": 40, "in_a_row": None}, None),
        (a_set(balls=35, made=29), {"successes": 29, "balls": 40, "in_a_row": None}, True),
        (a_set(balls=80, made=58), {"successes": 29, "balls": 40, "in_a_row": None}, None),
        (a_set(balls=42, made=31), {"successes": 29, "balls": 40, "in_a_row": None}, True),
        (a_set(balls=80, made=28), {"successes": 29, "balls": 40, "in_a_row": None}, False),
        (a_set(STREAK, 3, 3), {"successes": None, "balls": 28, "in_a_row": 5}, None),
        (a_set(STREAK, 28, 23), {"successes": None, "balls": 28, "in_a_row": 5}, True),
        (a_set(STREAK, 29, 24), {"successes": None, "balls": 28, "in_a_row": 5}, False),
        (a_set(STREAK, 6, 4), {"successes": None, "balls": 28, "in_a_row": 5}, None),
        # 29 of 30 with one miss: one of its two rows has 14 or more, and is done by ball 28.
        (a_set(STREAK, 30, 29), {"successes": None, "balls": 29, "in_a_row": 14}, True),
        (a_set(STREAK, 30, 28), {"successes": None, "balls": 29, "in_a_row": 14}, False),
        (a_set(STREAK, 60, 59), {"successes": None, "balls": 29, "in_a_row": 14}, True),
        (a_set(STREAK, 60, 59), {"successes": None, "balls": 27, "in_a_row": 14}, False),
        (a_set(), {}, None),
    ],
    ids=str,
)
def test_passed(session: Session, mark: dict[str, Any], reached: bool | None) -> None:
    assert passed(row(session, **mark)) is reached


@pytest.mark.parametrize(("balls", "held_to"), [(3, 40), (19, 40), (20, 20), (30, 30), (41, 40)])
def test_half_of_the_balls_of_a_drill_have_a_mark_of_their_own(balls: int, held_to: int) -> None:
    assert mark_of_set(DRILLS[COUNT], NOBODY, 0, balls).goal.balls == held_to


def test_a_mark_is_kept_as_it_was() -> None:
    mark = pass_mark(DRILLS[STREAK], NOBODY)
    kept = json.loads(mark_json(mark, "a tour stroke"))
    assert (kept["balls"], kept["whose"]) == (mark.goal.balls, "a tour stroke")
    assert kept["in_a_row"] == mark.goal.in_a_row == len(kept["tees_ft"])


def history(*made: int, balls: int = 40) -> Any:
    mark = mark_json(pass_mark(DRILLS[COUNT], NOBODY), "a tour stroke")
    days = [DAY + timedelta(days=n) for n in range(len(made))]
    rows = [
        a_set(balls=balls, made=m, day=d, pass_mark=mark) for m, d in zip(made, days, strict=True)
    ]
    (found,) = histories(sessions_frame(rows))
    return found


def test_a_history_adds_up() -> None:
    found = history(29, 31, 20)
    assert (found.sets, found.balls, found.successes) == (3, 120, 80)
    assert (found.low, found.high) == wilson_interval(80, 120)
    wanted = pass_mark(DRILLS[COUNT], NOBODY).goal.successes or 0
    assert found.mark_rate == pytest.approx(wanted / 40)
    assert (found.passed, found.judged) == (sum(m >= wanted for m in (29, 31, 20)), 3)
    assert (found.first, found.last) == (DAY, DAY + timedelta(days=2))
    assert found.trend == "too few sets for a trend; 1 more would give one"


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ((20, 21, 33, 34), "getting better: 51 % at first, 84 % lately"),
        ((34, 33, 21, 20), "getting worse: 84 % at first, 51 % lately"),
        ((27, 28, 28, 27), "no change that can be told from luck: 69 % at first, 69 % lately"),
        ((20, 20, 40, 33, 33), "getting better: 50 % at first, 82 % lately"),
    ],
)
def test_trends(made: tuple[int, ...], words: str) -> None:
    assert history(*made).trend == words


def test_the_latest_drill_comes_first() -> None:
    later = a_set("gate-2ft-ahead", 20, 15, day=DAY + timedelta(days=1))
    found = histories(sessions_frame([a_set(), later]))
    assert [each.drill for each in found] == ["gate-2ft-ahead", COUNT]
    assert (found[0].mark, found[0].mark_rate, found[0].judged) == ("", None, 0)
    assert histories(sessions_frame([])) == []


def iso(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as exc:
        raise DateError("a date", "Write 2026-05-03.") from exc


def read(*lines: str, player: str | None = "Mara Lindqvist") -> SessionReading:
    rows = [(n, line.split(",")) for n, line in enumerate(lines, 1)]
    return read_sessions(rows, "practice.csv", DRILLS, iso, TODAY, player)


HEADER = "Date,Drill,Balls,Made,Restarts,Minutes,Notes,Player"


def test_a_file_is_read_row_by_row() -> None:
    reading = read(
        HEADER,
        f"2026-05-03,{COUNT},40,29,,12.5,windy,Ben  Yaffle",
        f",{STREAK.upper()},28,,5,,,",
        "2026-05-04,gate-2ft-ahead,20,17",
        player=None,
    )
    assert reading.problems == []
    first, second, third = reading.sessions
    assert (first.player, first.minutes, first.note) == ("Ben Yaffle", 12.5, "windy")
    assert (second.date, second.drill, second.successes) == (DAY, STREAK, 23)
    assert (third.date, third.player) == (date(2026, 5, 4), "Ben Yaffle")
    assert reading.rows == [2, 3, 4]


@pytest.mark.parametrize(
    ("line", "column", "value", "hint"),
    [
        ("2026-05-03,circle-of-ate,40,29", "drill", "circle-of-ate", "circle-of-eight"),
        ("2026-05-03,,40,29", "drill", "", "sgputt drills"),
        ("3 May,circle-of-eight-5ft,40,29", "date", "3 May", "Write 2026-05-03"),
        ("2026-05-03,circle-of-eight-5ft,forty,29", "balls", "forty", "digits"),
        ("2026-05-03,circle-of-eight-5ft,40,2.5", "successes", "2.5", "digits"),
        ("2026-05-03,circle-of-eight-5ft,40,41", "successes", "41", "The ball drops"),
        ("2026-05-03,circle-of-eight-5ft,40,", "successes", "", "how many balls succeeded"),
        ("2026-05-03,circle-of-eight-5ft,40,29,3", "restarts", "3", "Leave restarts out"),
        ("2026-05-03,circle-of-eight-5ft,40,29,,long", "minutes", "long", "12.5"),
    ],
)
def test_a_mistake_is_named(line: str, column: str, value: str, hint: str) -> None:
    header = HEADER.replace("Made", "successes").replace(",Notes,Player", "")
    reading = read(header, line)
    (problem,) = reading.problems
    assert (problem.file, problem.row, problem.column) == ("practice.csv", 2, column)
    assert problem.value == value
    assert problem.allowed and hint in problem.hint
    assert list(problem.as_dict()) == ["file", "row", "column", "value", "allowed", "hint"]
    assert f"practice.csv, row 2, column '{column}'" in str(problem)
    assert reading.sessions == []


def test_all_mistakes_come_at_once() -> None:
    reading = read(HEADER, "x,y,z,1", f"2026-05-03,{COUNT},40,41,2,-1,,", player=None)
    assert [(p.row, p.column) for p in reading.problems] == [
        (2, "drill"),
        (2, "player"),
        (2, "date"),
        (2, "balls"),
        (3, "player"),
        (3, "minutes"),
        (3, "restarts"),
        (3, "successes"),
    ]


def test_headers() -> None:
    reading = read("date,drill,success,colour")
    assert [(p.column, p.value) for p in reading.problems] == [("colour", "colour"), ("balls", "")]
    assert "take out" in reading.problems[0].hint
    twice = read("date,drill,balls,made,holed")
    assert "stands there once" in twice.problems[0].allowed
    assert read().problems[0].hint.startswith("The first row names")

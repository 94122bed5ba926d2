"""Practice on the command line: plans, marks, the log and what it takes back, files of many."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from datetime import date
from pathlib import Path

import pytest

from sgputt_cli.commands.practice import LOG_COMMANDS
from tests.cli.conftest import Command

CIRCLE = "circle-of-eight-5ft"
LADDER = "ladder-below-the-hole"
OWN = """
[[drill]]
id = "my-own"
name = "My own"
kind = "circle"
trains = [{ component = "holing", low_ft = 3, high_ft = 5, slopes = ["level"] }]
cause = ["aim"]
balls = 10
minutes = 5
setup = "Two tees at 4 ft."
do = "Putt."
success = "The ball drops."
dose = "Daily."
scoring = { type = "count", balls = 10, distance_ft = [4, 4], target = "hole" }
"""
FILE = f"""\
date;drill;balls;made;restarts;minutes;note
3 June 2026;{CIRCLE};40;29;;12,5;windy
;{LADDER};14;;3;;
2026-06-05;{CIRCLE};40;31;;;
"""


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds in the archive."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    (home / "practice.csv").write_text(FILE, encoding="utf-8")
    (home / "own.toml").write_text(OWN, encoding="utf-8")
    return sgputt


def fits(text: str) -> bool:
    return max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize("name", (*LOG_COMMANDS, CIRCLE))
def test_every_command_of_drills_has_an_example_that_runs(name: str, six: Command) -> None:
    assert six("drills", "log", CIRCLE, "--balls", 40, "--successes", 29).status == 0
    ran = six("drills", name, "--help")
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    lines = re.findall(r"^ +(sgputt .+)$", ran.out, re.MULTILINE)
    assert lines
    for line in lines:
        done = six(*shlex.split(line)[1:])
        assert (done.status, done.err) == (0, ""), line
        assert "--json" in line or fits(done.out), line


def test_a_set_is_logged_shown_and_taken_back(six: Command) -> None:
    words = ["--balls", 40, "--successes", 29, "--date", "2026-06-03", "--note", "windy"]
    ran = six("drills", "log", CIRCLE.upper(), *words, "--minutes", 12)
    assert (ran.status, ran.err) == (0, "")
    assert "29 of 40 balls (72 %)" in " ".join(ran.out.split())
    assert re.search(r"Pass mark: \d+ of 40: .*(Passed|Not yet)\.", ran.out)
    found = six("drills", "history", CIRCLE, "--json").json
    assert found["player"] == "Mara Lindqvist"
    (drill,) = found["drills"]
    assert (drill["successes"], drill["balls"], drill["number_of_sets"]) == (29, 40, 1)
    assert drill["low"] < drill["rate"] < drill["high"]
    (one,) = drill["sets"]
    assert (one["date"], one["note"], one["minutes"]) == ("2026-06-03", "windy", 12)
    assert one["pass_mark"]["whose"] == "your own stroke"
    assert "too few sets for a trend" in six("drills", "history").out
    undone = six("drills", "undo")
    assert "Taken back: 1 set" in undone.out and CIRCLE in undone.out
    assert six("drills", "history", "--json").json["drills"] == []
    nothing = six("drills", "undo")
    assert (nothing.status, nothing.out) == (1, "")
    assert "no practice to take back" in nothing.err


def test_a_set_that_moves_the_mark_says_so(six: Command) -> None:
    """It said "Passed." and nothing of the harder mark that comes next."""
    words = ("drills", "log", CIRCLE, "--balls", 40)
    first = six(*words, "--successes", 40).out
    second = six(*words, "--successes", 40).out
    assert "harder" not in first
    assert "passed 2 times running, so the mark is harder now" in " ".join(second.split())
    for _ in range(2):
        assert six(*words, "--successes", 0, "--json").json["mark_moved"] == ""
    third = six(*words, "--successes", 0, "--json").json
    assert "not passed 3 times running" in third["mark_moved"]


def test_a_few_balls_are_no_set_and_no_time_is_no_time(six: Command) -> None:
    """3 of 3 balls passed a drill of 40, and 40 balls in 0.1 minutes were taken."""
    ran = six("drills", "log", CIRCLE, "--balls", 3, "--successes", 3)
    said = " ".join(ran.out.split())
    assert "Neither passed nor failed: 3 balls, and a set has 40" in said and fits(ran.out)
    found = six("drills", "log", CIRCLE, "--balls", 3, "--successes", 3, "--json").json
    assert found["passed"] is None
    (history,) = six("drills", "history", "--json").json["drills"]
    assert (history["passed"], history["judged"], history["number_of_sets"]) == (0, 0, 2)
    row = six("drills", "log", "five-in-a-row-6ft", "--balls", 3, "--restarts", 0).out
    assert "in a row were not to be had in them" in " ".join(row.split()) and fits(row)
    assert "no whole set yet" in six("drills", "history").out
    ran = six("drills", "log", CIRCLE, "--balls", 40, "--successes", 9, "--minutes", 0.1)
    assert ran.status == 2
    assert "allowed: 2 to 600 minutes for 40 balls" in " ".join(ran.err.split())


def test_a_player_who_is_new_is_named_beside_the_known(six: Command, home: Path) -> None:
    log = f"date,drill,balls,made,player\n2026-05-03,{CIRCLE},40,29,Mara Lindquist\n"
    (home / "slip.csv").write_text(log, encoding="utf-8")
    ran = six("drills", "read", "slip.csv")
    assert ran.status == 0 and "undo" in ran.out
    assert "'Mara Lindquist' is new here" in ran.err
    assert "Did you mean 'Mara Lindqvist'?" in ran.err
    assert six("drills", "undo").status == 0
    (home / "slip.csv").write_text(log.replace("Mara Lindquist", "Mara"), encoding="utf-8")
    found = six("import", "slip.csv", "--json").json["practice"]["notes"]
    assert len(found) == 1 and "Did you mean 'Mara Lindqvist'?" in found[0]
    (home / "slip.csv").write_text(log.replace("Mara Lindquist", "Tom Vale"), encoding="utf-8")
    assert "Players: Mara, Mara Lindqvist." in six("drills", "read", "slip.csv").err


def test_restarts_will_do_for_a_streak(six: Command) -> None:
    found = six("drills", "log", LADDER, "--balls", 14, "--restarts", 3, "--json").json
    assert (found["successes"], found["restarts"], found["date"]) == (11, 3, str(date.today()))
    # Four tees, gone through as often as this player's mark asks.
    assert found["pass_mark"]["in_a_row"] % 4 == 0
    assert found["passed"] is False or found["pass_mark"]["balls"] >= 14


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["log", "circle-of-ate"], "Missing option '--balls'"),
        (["log", "circle-of-ate", "--balls", 5], "no drill 'circle-of-ate'"),
        (["log", CIRCLE, "--balls", 40], "--successes: nothing stands there"),
        (["log", CIRCLE, "--balls", 40, "--successes", 41], "'41' stands there"),
        (["log", CIRCLE, "--balls", 40, "--successes", 2, "--restarts", 2], "--restarts: '2'"),
        (["log", CIRCLE, "--balls", 4, "--successes", 2, "--date", "2999-01-01"], "--date"),
        (["log", CIRCLE, "--balls", "many"], "many"),
        (["histroy"], "Did you mean 'history'?"),
        (["history", "circle-of-ate"], "no drill"),
        (["transfer", "circle-of-ate"], "no drill"),
        (["frob", "--balls", 3], "--balls"),
    ],
    ids=lambda value: " ".join(map(str, value)) if isinstance(value, list) else None,
)
def test_wrong_use(six: Command, words: list[object], says: str) -> None:
    ran = six("drills", *words)
    assert (ran.status, ran.out) == (2, "")
    assert says in " ".join(ran.err.split())
    assert "Traceback" not in ran.err
    assert six("drills", "history", "--json").json["drills"] == []


def test_before_the_first_round(sgputt: Command, home: Path) -> None:
    for words in (["undo"], ["history"]):
        ran = sgputt("drills", *words)
        assert (ran.status, ran.out) == (1, "")
        assert "sgputt drills log" in ran.err
    nobody = sgputt("drills", "log", CIRCLE, "--balls", 40, "--successes", 29)
    assert nobody.status == 2 and "--player" in nobody.err
    assert not (home / "archive.sqlite").exists()
    ran = sgputt("drills", "log", CIRCLE, "--balls", 4, "--successes", 2, "--player", "Ben Yaffle")
    assert ran.status == 0 and "'Ben Yaffle' is new here" in ran.out
    assert sgputt("drills", "history", "--json").json["player"] == "Ben Yaffle"
    assert sgputt("drills", "log", CIRCLE, "--balls", 4, "--successes", 3).status == 0
    assert sgputt("drills", "transfer").status == 1


def test_several_players_need_a_choice(six: Command) -> None:
    assert six("drills", "log", CIRCLE, "--balls", 4, "--successes", 2, "--player", "Ben").out
    ran = six("drills", "history")
    assert ran.status == 2 and "--player: Ben, Mara Lindqvist" in ran.err
    assert six("drills", "history", "--player", "ben", "--json").json["player"] == "Ben"
    assert six("drills", "undo", "--player", "Mara Lindqvist").status == 1
    assert six("drills", "undo", "--player", "BEN", "--json").json["removed"][0]["player"] == "Ben"


def test_a_file_is_read_once_and_taken_back_whole(six: Command) -> None:
    first = six("drills", "read", "practice.csv", "--json")
    assert first.json == {"stored": [1, 2, 3], "unchanged": 0, "problems": [], "notes": []}
    again = six("drills", "read", "practice.csv", "--json")
    assert again.json == {"stored": [], "unchanged": 3, "problems": [], "notes": []}
    assert again.status == 0
    history = six("drills", "history", "--json").json["drills"]
    assert [(each["drill"], each["balls"]) for each in history] == [(CIRCLE, 80), (LADDER, 14)]
    assert fits(six("drills", "history", CIRCLE).out)
    assert len(six("drills", "undo", "--json").json["removed"]) == 3


def test_a_file_with_a_problem_stores_nothing(six: Command, home: Path) -> None:
    bad = FILE.replace(";29;", ";92;").replace("2026-06-05", "5/6/2026")
    (home / "bad.csv").write_text(bad, encoding="utf-8")
    ran = six("drills", "read", "bad.csv", "--json")
    assert (ran.status, ran.json["stored"]) == (1, [])
    first, second = ran.json["problems"]
    assert list(first) == ["file", "row", "column", "value", "allowed", "hint"]
    assert (first["row"], first["column"], first["value"]) == (2, "successes", "92")
    assert (second["row"], second["value"]) == (4, "5/6/2026")
    assert "--date-order" in second["hint"]
    said = six("drills", "read", "bad.csv")
    assert (said.status, said.out) == (1, "")
    assert "bad.csv, row 2, column 'successes'" in said.err
    assert "nothing was stored" in said.err
    assert six("drills", "history", "--json").json["drills"] == []
    assert six("drills", "read", "practice.csv", "--date-order", "dmy").status == 0


@pytest.mark.parametrize(
    ("content", "says"),
    [(None, "no such file"), ("", "empty"), ("\0\1", "not text"), ("a,b\n", "column 'date'")],
)
def test_files_that_cannot_be_read(
    six: Command, home: Path, content: str | None, says: str
) -> None:
    if content is not None:
        (home / "x.csv").write_text(content, encoding="utf-8")
    ran = six("drills", "read", "x.csv")
    assert (ran.status, ran.out) == (1, "")
    assert says in ran.err and "Traceback" not in ran.err


def test_own_drills_by_option_and_by_environment(
    six: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert six("drills", "my-own").status == 2
    assert six("drills", "my-own", "--own", "own.toml").status == 0
    assert six("drills", "--own", "own.toml", "my-own").status == 0
    monkeypatch.setenv("SGPUTT_DRILLS", "own.toml")
    assert "my-own" in six("drills").out
    assert six("drills", "log", "my-own", "--balls", 10, "--successes", 7).status == 0
    assert six("drills", "transfer", "--json").json["drills"][0]["drill"] == "my-own"
    monkeypatch.delenv("SGPUTT_DRILLS")
    # Out of its file the drill is unknown, but what was logged stays.
    assert six("drills", "history", "my-own", "--json").json["drills"][0]["balls"] == 10
    assert six("drills", "transfer", "--json").json["drills"] == []
    monkeypatch.setenv("SGPUTT_DRILLS", "none.toml")
    assert six("drills").status == 1


def test_a_mark_for_this_player_and_for_nobody(six: Command, home: Path) -> None:
    own = six("drills", "gate-2ft-ahead", "--json").json[0]
    assert own["id"] == "gate-2ft-ahead"
    mark = own["pass_mark"]
    assert mark["from"] == "your own stroke"
    assert mark["sets_passed_now"] is None, "a scorecard does not tell a start line"
    circle = six("drills", CIRCLE, "--json").json[0]["pass_mark"]
    assert 0 < circle["sets_passed_now"] < circle["sets_passed"] < 1
    (home / "archive.sqlite").unlink()
    tour = six("drills", "gate-2ft-ahead", "--json").json[0]["pass_mark"]
    assert (tour["from"], tour["sets_passed_now"]) == ("a tour stroke", None)
    shown = six("drills", "gate-2ft-ahead").out
    assert "inches (" in shown and "Afterwards: sgputt drills log gate-2ft-ahead" in shown
    assert not (home / "archive.sqlite").exists()


def test_transfer(six: Command) -> None:
    day = six("rounds", "--json").json[2]["date"]
    words = ["--balls", 40, "--successes", 38, "--date", day]
    assert six("drills", "log", CIRCLE, *words).status == 0
    (found,) = six("drills", "transfer", CIRCLE, "--json").json["drills"]
    assert (found["drill"], found["first"], found["sets"]) == (CIRCLE, day, 1)
    assert (found["change"]["rounds_before"], found["change"]["rounds_after"]) == (3, 3)
    assert found["change"]["verdict"] == "cannot tell"
    assert found["course"]["practice"]["successes"] == 38
    ran = six("drills", "transfer")
    assert fits(ran.out) and "Cannot tell" in ran.out
    assert "No practice of gate-2ft-ahead" in six("drills", "transfer", "gate-2ft-ahead").out


def test_a_plan_fills_the_hour(six: Command, home: Path) -> None:
    found = six("practice", "--minutes", 60, "--json", "--out", "plan.md").json
    assert list(found) == ["player", "rounds", "stands_out", "priorities", "step", "plan"]
    plan = found["plan"]
    assert (plan["general"], plan["pass_marks_from"]) == (True, "your own stroke")
    (session,) = plan["sessions"]
    assert sum(block["minutes"] for block in session["blocks"]) == 60
    assert session["blocks"][0]["drill"] == found["priorities"][0]["drill"]
    text = (home / "plan.md").read_text(encoding="utf-8")
    assert text.startswith("# Putting practice: Mara Lindqvist")
    assert "## Plan for 60 minutes" in text and "physician" in text and "4.3a" in text


def test_one_round_names_no_drill_as_the_players_own(six: Command) -> None:
    """It did, while `practice --minutes` said that it takes more rounds."""
    ran = six("practice", "--last", 1)
    assert "Nothing can be told of your putting yet" in ran.out and fits(ran.out)
    assert "A default for your level:" in ran.out and "Next drill:" not in ran.out
    found = six("practice", "--last", 1, "--json").json
    assert [each["default"] for each in found["priorities"]] == [True]
    assert (
        "Nothing can be told of your putting yet"
        in six("practice", "--minutes", 30, "--last", 1).out
    )


def test_a_log_that_cannot_be_is_refused(six: Command) -> None:
    logged = six("drills", "log", LADDER, "--balls", 14, "--restarts", 3, "--json").json
    row = logged["pass_mark"]["in_a_row"]
    refused = six("drills", "log", LADDER, "--balls", 2 * row + 1, "--restarts", 1)
    assert refused.status == 2 and f"at most {2 * row} balls" in " ".join(refused.err.split())
    assert "write the successes" in refused.err
    assert six("drills", "log", LADDER, "--balls", 2 * row, "--restarts", 1).status == 0


def test_a_plan_in_words(six: Command) -> None:
    ran = six("practice", "--minutes", 60)
    assert (ran.status, ran.err) == (0, "")
    assert fits(ran.out)
    for word in ("Plan for 60 minutes", "1. ", "Break, 2 minutes", "Set-up:", "Pass mark:"):
        assert word in ran.out
    assert ran.out.count("physician") == 1
    assert ran.out.count("4.3a") == 1
    assert six("practice", "--minutes", 60).out == ran.out


def test_a_week(six: Command, home: Path) -> None:
    plan = six("practice", "--week", "--json").json["plan"]
    assert [each["minutes"] for each in plan["sessions"]] == [60] * 4
    ran = six("practice", "--week", "--sessions", 2, "--minutes", 30, "--out", "week.md")
    assert "Session 2 of 2: 30 minutes" in ran.out and "Wrote week.md" in ran.out
    assert fits(ran.out.replace("Wrote week.md", ""))


def test_a_plan_before_the_first_round_is_general(sgputt: Command, home: Path) -> None:
    ran = sgputt("practice", "--minutes", 45, "--out", "plan.md")
    assert (ran.status, ran.err) == (0, "")
    assert "no round is stored" in ran.out and "a tour stroke" in ran.out
    found = sgputt("practice", "--minutes", 45, "--json").json
    assert (found["player"], found["rounds"], found["stands_out"]) == (None, 0, False)
    assert [each["default"] for each in found["priorities"]] == [True]
    assert found["plan"]["general"] is True
    assert not (home / "archive.sqlite").exists()
    assert sgputt("practice").status == 1
    assert sgputt("practice", "--minutes", 45, "--player", "Nobody").status == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--sessions", 3], "--week"),
        (["--out", "plan.md"], "--minutes"),
        (["--minutes", 4], "5"),
        (["--week", "--sessions", 15], "14"),
    ],
    ids=str,
)
def test_wrong_use_of_plans(six: Command, home: Path, words: list[object], says: str) -> None:
    ran = six("practice", *words)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert not (home / "plan.md").exists()


def test_the_next_drill_carries_the_players_mark(six: Command) -> None:
    found = six("practice", "--json").json
    said = " ".join(six("practice").out.split())
    assert f"Pass mark: {found['priorities'][0]['pass_mark']}" in said
    assert said.index("Why") < said.index("Pass mark") < said.index("2. "), "the first drill first"
    assert len(six("practice").out.splitlines()) <= 24


def test_which_drill_serves_what(six: Command) -> None:
    found = six("drills", "--table", "--json").json
    assert all(row["drills"] for row in found["causes"])
    assert all(len(row["drills"]) >= 2 for row in found["habits"])
    ran = six("drills", "--table")
    assert (ran.status, ran.err) == (0, "") and fits(ran.out)
    assert "read 3-7" in ran.out and "too little break" in ran.out


def test_a_warm_up_a_goal_and_another_yardstick(six: Command, home: Path) -> None:
    ran = six("practice", "--before-round", "--minutes", 15, "--out", "warm.html")
    assert (ran.status, ran.err) == (0, "") and fits(ran.out)
    assert "Plan for 15 minutes" in ran.out and "Pass mark" not in ran.out
    assert "4.3a" in ran.out and (home / "warm.html").exists()
    assert six("practice", "--before-round", "--minutes", 30).status == 2
    goal = six("practice", "--by", "2097-05-01", "--json").json["goal"]
    assert goal["milestones"] and goal["by"] == "2097-05-01"
    assert "steps on, worth about" in " ".join(six("practice", "--by", "2097-05-01").out.split())
    assert six("practice", "--by", "2001-05-01").status == 2
    tour = six("practice", "--towards", "tour", "--json").json["priorities"][0]
    own = six("practice", "--json").json["priorities"][0]
    assert tour["worth_per_round"] != own["worth_per_round"]
    assert six("practice", "--towards", "nobody at all").status != 0
    assert six("practice", "--towards", "tour", "--by", "2097-05-01").status == 2


def test_notes_and_names_cannot_act(six: Command, home: Path) -> None:
    note, name = "\x1b[31mred", "<b>*Ben*</b>\x1b[2J"
    words = ["--balls", 4, "--successes", 2, "--note", note, "--player", name]
    assert "\x1b" not in six("drills", "log", CIRCLE, *words).out
    assert "\x1b" not in six("drills", "history", CIRCLE, "--player", name).out
    assert "\x1b" not in six("drills", "undo").out
    assert json.loads(six("drills", "history", "--json").out)

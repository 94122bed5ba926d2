"""Pages of a squad, a course and a practice plan: the decision first, then what it rests on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner

from sgputt.analysis.squad import analyse_squad
from sgputt.course.plan import course_plan
from sgputt.demo import demo_cards
from sgputt.practice.decision import decide
from sgputt.practice.drills import load_caution, load_drills
from sgputt.practice.plan import Plan, make_plan
from sgputt.putts.table import PUTTS_SCHEMA
from sgputt.stroke.player import TOUR_STROKE
from sgputt.wording import LEAST_SHOWN
from sgputt_cli.main import cli
from sgputt_reports.course import course_page
from sgputt_reports.practice import practice_page
from sgputt_reports.squad import squad_page
from tests.reports.cases import HOSTILE, Case
from tests.reports.test_pages import Reader
from tests.reports.test_why import plain


def general_plan(minutes: int) -> Plan:
    """A plan before the first round."""
    drills = load_drills()
    return make_plan(decide(pl.DataFrame(schema=PUTTS_SCHEMA), 0, None, drills), drills, minutes)


def in_order(text: str, parts: list[str]) -> None:
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_a_squad_starts_with_what_is_certain(forty: Case) -> None:
    html = forty.squad_page()
    text = plain(html)
    in_order(
        text,
        [
            "What stands out in the squad",
            "Groups and their stations",
            "Set-up",
            "A session together",
            "Who gains and who loses?",
            "What should each practise first alone?",
            "Who loses where?",
            "How to read this",
        ],
    )
    assert text.count(load_caution()) == 1
    assert "No round asked for of: Nell Achterberg." in text
    assert Reader(html).blocks["script"] == []
    for word in ("None", "nan"):
        assert word not in text


def test_a_squad_of_one_round_claims_nothing(one: Case) -> None:
    squad = analyse_squad({"Ada Brook": one.scored})
    text = plain(squad_page(squad))
    assert "one round" in text
    assert "Too few rounds to know strokes gained within 1 stroke: Ada Brook (1 round)." in text
    assert "None" not in text
    assert "Nothing stands out for any of the players yet" in text
    assert "feet" not in plain(squad_page(squad, "metres"))


def test_a_course_starts_with_where_to_leave_approaches(forty: Case) -> None:
    text = plain(forty.course_page())
    in_order(
        text,
        [
            "greens of stimp 11 ft, slopes of 2 %",
            "Leave approaches below the hole",
            "Stop trying to hole it, uphill",
            "How far past the hole to aim",
            "What does being beside or above the hole cost?",
            "What do charging and dying it in cost?",
        ],
    )
    assert "your stroke, from 1281 putts" in text
    assert "A model: every putt lies on a plane" in text


def test_a_course_says_where_above_the_hole_costs_least() -> None:
    """The page advised to stay below the hole, over a table in which above it was cheaper."""
    plan = course_plan(TOUR_STROKE, 10.0, 0.025)
    cheaper = plan.approach.filter(pl.col("above_cost") <= -LEAST_SHOWN)["distance_ft"].to_list()
    assert cheaper and max(cheaper) < 15
    said = f"Nearer, up to {max(cheaper):g} ft, above it costs least."
    assert said in plain(course_page(plan, "Ada", "x"))
    never = plan.approach.with_columns(above_cost=pl.lit(0.0))
    assert "costs least" not in plain(course_page(replace(plan, approach=never), "Ada", "x"))


def test_a_course_without_a_difference_says_so() -> None:
    text = plain(course_page(course_plan(TOUR_STROKE, 9.0, 0.0), "Ada", "x"))
    assert "all the same" in text
    assert "Stop trying to hole it, level" in text
    assert "uphill" not in text.partition("How to read this")[0]


def test_a_plan_lists_its_drills_then_tells_each_set_up_once(forty: Case) -> None:
    text = plain(forty.practice_page())
    in_order(text, ["The session", "Drill by drill", "Set-up", "How to use"])
    plan = forty.analysis.plan(60)
    for block in plan.sessions[0].blocks:
        if block.drill is not None and block.mark is not None:
            assert text.count(block.drill.setup) == 1
            assert block.drill.name in text
    assert text.count(load_caution()) == 1
    assert text.count("Break, 2 minutes") == sum(
        block.kind == "break" for block in plan.sessions[0].blocks
    )


def test_a_second_set_points_to_the_first(forty: Case) -> None:
    plan = forty.analysis.plan(60)
    first = plan.sessions[0].blocks[0]
    twice = replace(plan.sessions[0], blocks=(first, replace(first, set_number=2)))
    text = plain(practice_page(replace(plan, sessions=(twice,))))
    assert "second set" in text
    assert "Why, set-up and what to do: as in 1." in text


def test_a_week_tells_every_session(forty: Case) -> None:
    text = plain(forty.practice_page(45, 3))
    for number in (1, 2, 3):
        assert text.count(f"Session {number} of 3") == 2
    assert "3 sessions of 45 minutes" in text
    assert "Worth, done every week" in text


def test_a_general_plan_claims_no_worth() -> None:
    plan = general_plan(45)
    text = plain(practice_page(plan, None, load_caution()))
    assert "a general one" in text
    assert plan.note in text
    assert "Worth" not in text
    assert "None" not in text


def test_hostile_names_are_text_on_every_sheet(forty: Case) -> None:
    plan = general_plan(20)
    block = plan.sessions[0].blocks[0]
    assert block.drill is not None
    drill = replace(block.drill, id=HOSTILE, name=HOSTILE, setup=HOSTILE, do=HOSTILE)
    session = replace(plan.sessions[0], blocks=(replace(block, drill=drill, why=HOSTILE),))
    sheets = [
        practice_page(replace(plan, sessions=(session,), note=HOSTILE), HOSTILE, HOSTILE, HOSTILE),
        course_page(course_plan(TOUR_STROKE), HOSTILE, HOSTILE),
        squad_page(analyse_squad({HOSTILE: forty.scored}, absent=[HOSTILE])),
    ]
    for html in sheets:
        reader = Reader(html)
        assert HOSTILE.replace("\u202e", "").replace("\x07", "") in reader.text
        assert not any("alert" in script for script in reader.blocks["script"])
        assert not any("<" in data for data in reader.blocks["data"])
        assert "\u202e" not in html


def test_a_box_for_every_ball_in_fives(forty: Case) -> None:
    html = forty.practice_page()
    plan = forty.analysis.plan(60)
    balls = [b.drill.balls for b in plan.sessions[0].blocks if b.drill is not None]
    assert html.count("<i></i>") == sum(balls)
    assert "<i></i>" * 5 in html
    assert "<i></i>" * 6 not in html


@pytest.mark.parametrize("kind", ["squad_page", "course_page", "practice_page"])
def test_sheets_are_small(forty: Case, kind: str) -> None:
    assert len(getattr(forty, kind)().encode()) < 120_000


def test_commands_write_their_sheets(tmp_path: Path) -> None:
    """Squad, course and practice with --out; a plan of another name stays Markdown."""
    archive = ["--archive", str(tmp_path / "a.sqlite")]
    demo_cards(tmp_path)
    cards = map(str, sorted(tmp_path.glob("*.csv")))
    asked = {
        "squad.html": ["squad"],
        "course.html": ["course", "--stimp", "11"],
        "plan.html": ["practice", "--minutes", "45"],
        "plan.md": ["practice", "--minutes", "45"],
    }
    runner = CliRunner()
    assert runner.invoke(cli, ["import", *archive, *cards]).exit_code == 0
    for name, words in asked.items():
        done = runner.invoke(cli, [*words, *archive, "--out", str(tmp_path / name)])
        assert done.exit_code == 0, done.output
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert text.startswith("<!doctype html>" if name.endswith("html") else "# Putting practice")

"""The plan as a log on the practice green: by touch, in a browser, and back into an archive."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from selenium import webdriver

from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.practice.decision import decide
from sgputt.practice.drills import load_drills
from sgputt.practice.plan import make_plan
from sgputt.practice_intake import is_practice, take_in_practice
from sgputt.putts.table import PUTTS_SCHEMA
from sgputt_reports.practice import green_data
from tests.reports.card_driver import LOOK
from tests.reports.cases import HOSTILE
from tests.reports.green_driver import (
    PHONE,
    Finger,
    block_of,
    drill_of,
    four_in_a_row,
    hostile_plan,
    plan_of,
    some_plan,
)

FORMULA = '=HYPERLINK("x";"y"), </script><b>O\'Neil</b>; "Jr" é'
SMALL_PHONE = (320, 568)


@pytest.fixture
def finger(browser: webdriver.Chrome, tmp_path: Path) -> Iterator[Finger]:
    golfer = Finger(browser, tmp_path / "plan.html")
    golfer.logged()
    golfer.write(some_plan())
    golfer.open()
    golfer.run("localStorage.clear()")
    golfer.open()
    yield golfer
    assert golfer.logged() == []
    assert golfer.run("return performance.getEntriesByType('resource').length") == 0


def test_a_session_by_touch_comes_back_into_the_archive(finger: Finger, tmp_path: Path) -> None:
    count, ladder, gate = (b for b in some_plan().sessions[0].blocks if b.kind == "drill")
    assert count.mark is not None
    need = count.mark.goal.successes
    assert need is not None
    finger.start()
    # A count stops as soon as its mark is surely reached.
    finger.balls("--" + "x" * need)
    assert finger.text("#verdict") == f"Passed: {need} of {need + 2}."
    assert not finger.is_shown("#two")
    finger.touch("#onward")
    assert finger.text("#break-title") == "Break, 2 minutes"
    finger.touch("[data-do='rested']")
    # In a row: a miss starts again; the fourth in a row ends it.
    finger.balls("xxx-")
    assert finger.text("#big") == "0"
    assert finger.text("#under").startswith("4 balls, 1 restart")
    finger.balls("xxxx")
    assert finger.text("#verdict") == "Passed with ball 8."
    finger.touch("#onward")
    # A gate, left before it is full.
    finger.balls("x-x")
    finger.touch("#onward")
    assert finger.is_shown("#save-view")
    saved = finger.save()
    assert "Saved as" in finger.text("#saved")
    assert is_practice(saved)
    with Archive(tmp_path / "a.sqlite", make=True) as archive:
        done = take_in_practice(saved, archive, load_drills())
        assert done.problems == []
        assert len(done.added.stored) == 3
        again = take_in_practice(saved, archive, load_drills())
        assert (again.added.stored, again.added.unchanged) == ([], 3)
        log = SessionLog(archive).table()
    assert count.drill is not None
    assert ladder.drill is not None
    assert gate.drill is not None
    kept = log.select("drill", "balls", "successes", "restarts").rows()
    assert kept == [
        (count.drill.id, need + 2, need, None),
        (ladder.drill.id, 8, 7, 1),
        (gate.drill.id, 3, 2, None),
    ]
    assert set(log["player"]) == {"Mara Lindqvist"}
    assert set(log["date"]) == {date.today()}


def test_rows_as_they_are_set_up_for_a_player_come_back(finger: Finger, tmp_path: Path) -> None:
    """At the first go, in as many balls as the mark asks for: more than the catalogue's row."""
    rows = [block_of(each) for each in load_drills() if each.scoring.counted == "restarts"]
    finger.write(plan_of(*rows))
    finger.open()
    finger.start()
    for block in rows:
        assert block.mark is not None
        assert block.mark.goal.in_a_row is not None
        finger.balls("x" * block.mark.goal.in_a_row)
        assert finger.text("#verdict").startswith("Passed")
        finger.touch("#onward")
    with Archive(tmp_path / "a.sqlite", make=True) as archive:
        done = take_in_practice(finger.save(), archive, load_drills())
    assert done.problems == []
    assert len(done.added.stored) == len(rows)


def test_a_ball_can_be_taken_back_and_a_passed_set_putted_to_its_end(finger: Finger) -> None:
    finger.start()
    finger.balls("xx-")
    finger.touch("#undo")
    assert finger.text("#big") == "2"
    assert finger.text("#beside") == "of 2 balls"
    while finger.is_shown("#two"):
        finger.touch("#done")
    finger.touch("#undo")
    assert finger.is_shown("#two")
    finger.touch("#done")
    finger.touch("#rest-of-set")
    balls = 0
    while finger.is_shown("#two"):
        finger.touch("#missed")
        balls += 1
        assert balls <= 40
    assert finger.text("#verdict").startswith("Passed")
    assert finger.text("#beside") == "of 40 balls"
    finger.touch("#undo", times=40)
    assert finger.run("return document.getElementById('undo').disabled")
    assert finger.rows() == []


def test_a_row_reached_too_late_is_over_but_not_passed(finger: Finger) -> None:
    finger.write(plan_of(four_in_a_row()))
    finger.open()
    finger.start()
    finger.balls("xxx-xx-xxxx")
    assert finger.text("#verdict").startswith("In a row, but over the 8 balls")
    assert not finger.is_shown("#two")
    [row] = finger.rows()
    assert row.split(",")[1:5] == ["ladder-below-the-hole", "11", "9", "2"]


def test_a_row_that_is_not_reached_is_over_with_its_last_ball(finger: Finger) -> None:
    ladder = four_in_a_row()
    finger.write(plan_of(ladder))
    finger.open()
    finger.start()
    assert finger.text("#next-tee").startswith("Next: ball 1 of 4, 3 ft, uphill")
    finger.balls("x")
    assert finger.text("#next-tee").startswith("Next: ball 2 of 4, 4 ft")
    assert ladder.drill is not None
    finger.balls("-" * (ladder.drill.balls - 1))
    assert "Not passed" in finger.text("#verdict")
    assert not finger.is_shown("#two")
    [row] = finger.rows()
    balls = ladder.drill.balls
    assert row.split(",")[1:5] == ["ladder-below-the-hole", f"{balls}", "1", f"{balls - 1}"]


def test_a_reload_keeps_every_ball_and_the_place(finger: Finger) -> None:
    finger.start()
    finger.balls("x-x")
    finger.touch("#onward")
    finger.touch("[data-do='rested']")
    finger.balls("x")
    finger.open()
    assert finger.text("#drill-name") == drill_of("ladder-below-the-hole").name
    assert finger.text("#beside") == "in a row of 4"
    finger.touch("#back", times=1)
    finger.touch("#break-view [data-do='back']")
    assert finger.text("#big") == "2"
    assert finger.text("#beside") == "of 3 balls"
    finger.touch("#block-view [data-do='plan']")
    assert "0 of 3 sets done" in finger.text("#green-sessions")


def test_where_nothing_can_be_kept_it_says_so_and_still_counts(finger: Finger) -> None:
    refuse = "Storage.prototype.setItem = () => { throw new Error('not here'); };"
    made = finger.browser.execute_cdp_cmd(
        "Page.addScriptToEvaluateOnNewDocument", {"source": refuse}
    )
    try:
        finger.open()
        assert finger.is_shown("#green .unkept")
        finger.start()
        assert finger.is_shown("#block-view .unkept")
        finger.balls("x-")
        assert len(finger.rows()) == 1
        finger.touch("#block-view [data-do='to-save']")
        finger.save()
    finally:
        finger.browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)


def test_after_fifteen_minutes_comes_a_break(finger: Finger) -> None:
    finger.start()
    finger.balls("x")
    for _ in range(5):
        assert not finger.is_shown("#due")
        finger.later(179)
        finger.balls("x")
    finger.later(30)
    finger.balls("x")
    assert finger.is_shown("#due")
    assert finger.text("#big") == "7"
    finger.touch("[data-do='rested-now']")
    assert not finger.is_shown("#due")
    # The break of the plan, close behind, is passed over.
    finger.touch("#onward")
    assert finger.text("#drill-name") == drill_of("ladder-below-the-hole").name
    # A long pause is a rest.
    finger.later(20 * 60)
    finger.balls("x")
    assert not finger.is_shown("#due")


def test_the_break_is_due_although_no_ball_is_touched(finger: Finger) -> None:
    finger.start()
    finger.balls("x")
    finger.later(14 * 60 + 50)
    finger.run("return new Promise((done) => setTimeout(done, 1200))")
    # Nothing for so long was a pause; a ball every two minutes is not.
    assert not finger.is_shown("#due")
    finger.balls("x")
    for _ in range(7):
        finger.later(120)
        finger.balls("x")
    finger.later(61)
    finger.run("return new Promise((done) => setTimeout(done, 1200))")
    assert finger.is_shown("#due")
    finger.touch("[data-do='rested-now']")


@pytest.mark.parametrize("player", [FORMULA, "=1+1", "-5", "x" * 200])
def test_names_come_through_as_typed_and_never_run(
    finger: Finger, tmp_path: Path, player: str
) -> None:
    finger.write(hostile_plan(HOSTILE), player)
    finger.open()
    finger.start()
    shown = " ".join(HOSTILE.replace("\u202e", "").replace("\x07", "").split())
    assert finger.text("#drill-name") == shown
    assert shown in finger.text("#how-words")
    finger.balls("x-")
    finger.touch("#block-view [data-do='to-save']")
    saved = finger.save()
    with Archive(tmp_path / "a.sqlite", make=True) as archive:
        assert take_in_practice(saved, archive, load_drills()).problems == []
        assert SessionLog(archive).table()["player"].to_list() == [player]


def test_without_a_player_it_asks_for_one(finger: Finger) -> None:
    nobody = decide(pl.DataFrame(schema=PUTTS_SCHEMA), 0, None, load_drills())
    finger.write(make_plan(nobody, load_drills(), 15), None)
    finger.open()
    finger.start()
    finger.balls("x")
    finger.touch("#block-view [data-do='to-save']")
    finger.run("document.getElementById('player').focus()")
    finger.browser.switch_to.active_element.send_keys("Nell Achterberg")
    assert finger.run("return document.getElementById('text').value").endswith(",Nell Achterberg\n")


def test_clearing_asks_first(finger: Finger) -> None:
    finger.start()
    finger.balls("x")
    finger.touch("#block-view [data-do='to-save']")
    finger.touch("[data-do='again']")
    assert "not saved" in finger.text("#again-question")
    finger.touch("[data-do='keep']")
    assert finger.is_shown("#save-view")
    finger.touch("[data-do='again']")
    finger.touch("[data-do='clear']")
    assert not finger.is_shown("#screen")
    assert not finger.is_shown("#green-save")


def test_two_tabs_do_not_undo_each_other(finger: Finger) -> None:
    first = finger.browser.current_window_handle
    finger.start()
    finger.browser.switch_to.new_window("tab")
    try:
        finger.open()
        finger.balls("xx")
    finally:
        finger.browser.close()
        finger.browser.switch_to.window(first)
    finger.open()
    finger.balls("x")
    assert finger.text("#big") == "3"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, (390, 664), SMALL_PHONE, (1280, 800)])
def test_a_block_is_one_screen_whose_every_part_can_be_read_hit_and_named(
    finger: Finger, size: tuple[int, int], scheme: str
) -> None:
    finger.write(some_plan())
    finger.open(size, scheme)
    finger.start()
    finger.balls("x-")
    wide, high = size
    look = LOOK.replace("#app *", "#screen *").replace("'button, input", "'#screen button, input")
    for step in ("", "#how summary", "#block-view [data-do='to-save']", "#as-text summary"):
        if step:
            finger.touch(step)
        found = finger.run(look)
        assert found.pop("wide") <= 0
        assert {key: value for key, value in found.items() if value} == {}, step
        # What is touched for every ball is always in sight.
        if step in ("", "#how summary"):
            for button in ("#done", "#missed", "#undo", "#onward"):
                box = finger.run(
                    "return document.querySelector(arguments[0]).getBoundingClientRect()", button
                )
                assert 0 <= box["top"] < box["bottom"] <= high, button
                assert 0 <= box["left"] < box["right"] <= wide, button
    finger.touch("[data-do='to-block']")


def test_a_block_of_the_catalogue_shows_its_drawing_and_needs_no_scrolling(
    finger: Finger,
) -> None:
    finger.write(plan_of(*(block_of(each) for each in load_drills() if each.surface == "green")))
    finger.open()
    finger.start()
    for drill in (each for each in load_drills() if each.surface == "green"):
        finger.balls("x")
        assert finger.text("#drill-name") == drill.name
        assert finger.is_shown("#drawing svg"), drill.id
        room = finger.run(
            "const m = document.getElementById('middle');"
            "return m.clientHeight - m.scrollHeight + m.querySelector('#how').offsetHeight"
        )
        assert room >= 0, drill.id
        finger.touch("#onward")


def test_one_json_of_a_plan_holds_what_is_counted() -> None:
    data = green_data(some_plan(), "Mara Lindqvist", "metres")
    count, rest, row, gate = data["sessions"][0]["blocks"]
    assert rest == {"rest": 2}
    assert count["rule"]["balls"] == 40
    assert count["rule"]["in_a_row"] is None
    assert row["rule"]["successes"] is None
    assert [tee["length_ft"] for tee in row["rule"]["tees"]] == [3, 4, 5, 6]
    assert gate["rule"]["successes"] <= gate["rule"]["balls"]
    assert data["id"] == green_data(some_plan(), "Mara Lindqvist", "metres")["id"]
    assert data["id"] != green_data(some_plan(), "Ada Brook", "metres")["id"]

"""The card in a browser: a round typed with one thumb comes out as the round that was played."""

from __future__ import annotations

import base64
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from selenium import webdriver

from sgputt.putts.units import parse_length
from sgputt.scorecard import read_scorecard
from sgputt_reports.card import card_page
from tests.reports.card_driver import LOOK, Thumb, typed_hole, typed_round

SHOWN = ["hole", "putt", "result", "slope", "break", "miss_pace", "miss_side", "cause", "surface"]
HOSTILE = '=HYPERLINK("x";"y"), </script><b>O\'Neil</b>; "Jr" é'


@pytest.fixture
def thumb(browser: webdriver.Chrome, tmp_path: Path) -> Iterator[Thumb]:
    page = tmp_path / "card.html"
    page.write_text(card_page(), encoding="utf-8")
    golfer = Thumb(browser, page)
    golfer.logged()
    golfer.open_new()
    yield golfer
    assert golfer.logged() == []
    assert golfer.run("return performance.getEntriesByType('resource').length") == 0


def back_nine_in_metres(thumb: Thumb) -> None:
    """Fill in the round and its first five holes."""
    thumb.type("#player", "Mara Lindqvist")
    thumb.type("#course", "Saltmarsh Links")
    thumb.run("arguments[0].value = '2026-05-03'", thumb.find("#date"))
    thumb.run(
        "arguments[0].dispatchEvent(new Event('input', {bubbles: true}))", thumb.find("#date")
    )
    thumb.type("#stimp", "10.5")
    thumb.tap("[data-set='unit'][data-value='m']")
    thumb.tap("[data-set='length'][data-value='9']")
    thumb.run("arguments[0].scrollIntoView()", thumb.find("#first"))
    thumb.find("#first").send_keys("10")
    thumb.tap("#start")
    # 10: three putts. 11: chipped in. 12: one putt, typed in feet and inches.
    thumb.tap("[data-count='3']")
    thumb.putt(
        1,
        "9,5",
        *(("slope", "uphill"), ("turn", "left to right"), ("pace", "short"), ("side", "right")),
    )
    thumb.putt(2, "1.8", ("slope", "downhill"), ("turn", "straight"), ("side", "none"))
    thumb.putt(3, "0.5")
    thumb.tap("#next")
    thumb.tap("[data-ending='chipped in']")
    thumb.tap("#next")
    thumb.putt(1, "12'6\"", ("slope", "level"), ("turn", "right to left"), ("result", "holed"))
    # 13: conceded with the second putt. 14: picked up after two putts.
    thumb.tap("#next")
    thumb.putt(1, "11", ("result", "missed"), ("pace", "past"), ("side", "left"))
    thumb.putt(2, "0.6", ("result", "conceded"))
    thumb.tap("#next")
    thumb.tap("[data-count='2']")
    thumb.tap("[data-ending='picked up']")
    thumb.putt(1, "14", ("off", "yes"))
    thumb.putt(2, "3", ("pace", "past"))


def the_rest(thumb: Thumb) -> None:
    """Hole 15 picked up without a putt, 16 and 17 two putts (one length unknown), 18 one."""
    thumb.tap("#next")
    thumb.tap("[data-ending='picked up']")
    for first, second in (("7", "0.4"), ("6.25", "")):
        thumb.tap("#next")
        thumb.tap("[data-count='2']")
        thumb.putt(1, first)
        if second:
            thumb.putt(2, second)
    thumb.tap("#next")
    thumb.run("arguments[0].scrollIntoView()", thumb.find("#par"))
    thumb.find("#par").send_keys("4")
    thumb.putt(1, "2.4", ("result", "holed"))
    thumb.tap("#next")


PLAYED = [
    (10, 1, "missed", "uphill", "left to right", "short", "right", "pace", "green"),
    (10, 2, "missed", "downhill", "straight", None, "none", None, "green"),
    (10, 3, "holed", "unknown", "unknown", None, None, None, "green"),
    (12, 1, "holed", "level", "right to left", None, None, None, "green"),
    (13, 1, "missed", "unknown", "unknown", "past", "left", None, "green"),
    (13, 2, "conceded", "unknown", "unknown", None, None, None, "green"),
    (14, 1, "missed", "unknown", "unknown", None, None, None, "off green"),
    (14, 2, "missed", "unknown", "unknown", "past", None, "read", "green"),
    (16, 1, "missed", "unknown", "unknown", None, None, None, "green"),
    (16, 2, "holed", "unknown", "unknown", None, None, None, "green"),
    (17, 1, "missed", "unknown", "unknown", None, None, None, "green"),
    (17, 2, "holed", "unknown", "unknown", None, None, None, "green"),
    (18, 1, "holed", "unknown", "unknown", None, None, None, "green"),
]
LENGTHS = ["9.5", "1.8", "0.5", "12'6\"", "11", "0.6", "14", "3", "7", "0.4", "6.25", None, "2.4"]
ENDINGS = ["holed", "chipped in", "holed", "conceded", "picked up", "picked up", *["holed"] * 3]


def test_a_typed_round_is_the_round_that_was_played(thumb: Thumb) -> None:
    back_nine_in_metres(thumb)
    thumb.open()
    assert thumb.text("#hole-title") == "Hole 14"
    the_rest(thumb)
    assert thumb.faults() == []
    # The player's own word is asked after the round, not on the green.
    assert not thumb.find(".why").is_displayed()
    thumb.why(10, 1, "pace")
    thumb.why(14, 2, "read")
    saved = thumb.save()
    assert saved.name == "2026-05-03-saltmarsh-links.csv"
    reading = read_scorecard(saved)
    assert reading.problems == []
    assert reading.notes == []
    assert [tuple(row) for row in reading.putts.select(SHOWN).rows()] == PLAYED
    feet = [None if text is None else parse_length(text, "m") for text in LENGTHS]
    for found, meant in zip(reading.putts["distance_ft"], feet, strict=True):
        assert found == (None if meant is None else pytest.approx(meant, abs=1e-6))
    assert reading.holes["hole"].to_list() == list(range(10, 19))
    assert reading.holes["ending"].to_list() == ENDINGS
    assert reading.holes["par"].to_list() == [None] * 8 + [4]
    [one] = reading.rounds
    assert (one.player, one.course, one.date) == (
        *("Mara Lindqvist", "Saltmarsh Links"),
        date(2026, 5, 3),
    )
    assert reading.putts["stimp_ft"].unique().to_list() == [10.5]


def everything(thumb: Thumb) -> dict[str, Any]:
    found: dict[str, Any] = thumb.run(
        "const kept = JSON.parse(localStorage.getItem(Object.keys(localStorage)[0]));"
        "return {round: kept.round, holes: kept.holes, view: kept.view, at: kept.at}"
    )
    return found


@pytest.mark.parametrize("turn", ["left to right", "straight", "right to left"])
def test_a_hole_of_two_putts_needs_no_scrolling(thumb: Thumb, turn: str) -> None:
    """All that is written of it, on a screen of 390 by 844."""
    thumb.open(390, 844)
    thumb.tap("#start")
    thumb.tap("[data-count='2']")
    aim = "centre" if turn == "straight" else "2 cups"
    thumb.putt(1, "31'6", ("slope", "downhill"), ("turn", turn), ("aim", aim))
    thumb.putt(1, "31'6", ("pace", "short"), ("side", "left"))
    thumb.putt(2, "2.5", ("slope", "uphill"), ("turn", "straight"), ("aim", "centre"))
    assert thumb.run("return document.documentElement.scrollHeight") <= 844
    low = thumb.run("return document.getElementById('putts').getBoundingClientRect().bottom")
    assert low <= thumb.run("return document.getElementById('bar').getBoundingClientRect().top")


def test_the_break_played_is_a_tap(thumb: Thumb) -> None:
    """The high side is taken for granted; inches to the right of the centre are negative."""
    thumb.tap("#start")
    thumb.tap("[data-count='4']")
    thumb.putt(1, "20", ("aim", "1 cup"), ("turn", "right to left"))
    thumb.putt(2, "9", ("turn", "left to right"), ("aim", "edge"))
    thumb.putt(3, "6", ("turn", "right to left"))
    thumb.tap("[data-putt='2'] [data-do='aims']")
    thumb.putt(3, "6", ("aimBy", "6 cups"), ("aimSide", "left"), ("aimSide", "left"))
    thumb.putt(3, "6", ("aimSide", "right"))
    thumb.putt(4, "2", ("aim", "3 cups"), ("aim", "centre"))
    assert thumb.faults() == []
    aims = thumb.reading().putts["break_in"].to_list()
    assert aims == pytest.approx([-4.25, 2.125, -25.5, 0.0], abs=1e-6)


def test_an_aim_without_a_side_asks_for_it(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.putt(1, "9", ("result", "holed"))
    thumb.putt(1, "9", ("aim", "1 cup"))
    assert thumb.find("[data-part='aims']").is_displayed()
    thumb.putt(1, "9", ("aimSide", "left"))
    thumb.tap("[data-view='save']")
    assert len(thumb.reading().putts["break_in"].drop_nulls()) == 1


def test_a_reload_keeps_everything_typed(thumb: Thumb) -> None:
    thumb.type("#event", "Spring Medal")
    thumb.tap("#start")
    thumb.tap("[data-count='2']")
    thumb.putt(1, "twelve", ("turn", "right to left"))
    thumb.find("#putt-2-length").send_keys("3.")
    before = everything(thumb)
    thumb.open()
    assert everything(thumb) == before
    assert thumb.value("#putt-1-length") == "twelve"
    assert thumb.value("#putt-2-length") == "3."
    thumb.tap("[data-view='round']")
    assert thumb.value("#event") == "Spring Medal"


def test_a_smaller_count_loses_nothing(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.tap("[data-count='3']")
    thumb.putt(3, "1.5", ("slope", "uphill"))
    thumb.tap("[data-count='2']")
    assert "putt 3" in thumb.text("#apart")
    thumb.tap("[data-ending='not played']")
    thumb.tap("[data-ending='not played']")
    thumb.tap("[data-count='3']")
    assert thumb.value("#putt-3-length") == "1.5"
    assert not thumb.find("#apart").is_displayed()


def test_a_new_card_asks_first_and_can_be_undone(thumb: Thumb) -> None:
    thumb.type("#player", "Nell Achterberg")
    thumb.type("#course", "Kestrel Down")
    thumb.tap("#round-view [data-do='new']")
    assert "not saved" in thumb.text("#question")
    thumb.tap("#answers button:first-child")
    assert thumb.value("#course") == "Kestrel Down"
    thumb.tap("#round-view [data-do='new']")
    thumb.tap("#answers button:last-child")
    assert thumb.value("#course") == ""
    assert thumb.value("#player") == "Nell Achterberg"
    thumb.tap("[data-do='back']")
    assert thumb.value("#course") == "Kestrel Down"


def test_another_unit_asks_what_was_typed(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.putt(1, "12", ("result", "holed"))
    for answer, feet in (("1", 12.0), ("2", 12 / 0.3048)):
        thumb.tap("[data-view='round']")
        thumb.tap("[data-set='unit'][data-value='m']")
        thumb.tap(f"#answers button:nth-child({answer})")
        thumb.tap("[data-view='save']")
        [found] = thumb.reading().putts["distance_ft"]
        assert found == pytest.approx(feet, abs=1e-6)
        if answer == "1":
            thumb.tap("[data-view='holes']")
            assert thumb.value("#putt-1-length") == "12 ft"
            thumb.type("#putt-1-length", "12")
            thumb.tap("[data-view='round']")
            thumb.tap("[data-set='unit'][data-value='ft']")
            thumb.tap("#answers button:nth-child(2)")


def test_paces_ask_how_long_they_are(thumb: Thumb) -> None:
    assert not thumb.find("#pace").is_displayed()
    thumb.tap("[data-set='unit'][data-value='paces']")
    thumb.type("#pace", "2'9\"")
    thumb.tap("#start")
    thumb.putt(1, "8", ("result", "holed"))
    thumb.tap("[data-view='save']")
    assert thumb.reading().putts["distance_ft"].to_list() == [22.0]


def test_a_foot_mark_can_be_tapped(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.find("#putt-1-length").send_keys("12")
    thumb.tap("[data-do='foot']")
    thumb.browser.switch_to.active_element.send_keys("6")
    assert thumb.value("#putt-1-length") == "12'6"


def test_a_play_off_hole_can_be_added(thumb: Thumb) -> None:
    thumb.put(
        {"round": typed_round(), "holes": {str(n): typed_hole("15", "2") for n in range(1, 19)}}
    )
    thumb.tap("[data-view='holes']")
    thumb.tap("#strip-button")
    thumb.tap("[data-do='add']")
    thumb.tap("[data-hole='19']")
    thumb.tap("[data-count='1']")
    thumb.putt(1, "30")
    assert thumb.faults() == []
    reading = thumb.reading()
    assert reading.problems == []
    assert reading.holes["hole"].max() == 19


@pytest.mark.parametrize(
    "name", [HOSTILE, "=1+1", "+A", "-5", "@SUM(A1)", "Ann;=1+1", '"', " a\u00a0b ", "x" * 200]
)
def test_names_come_through_as_typed(thumb: Thumb, name: str) -> None:
    called = typed_round(player=name, course=name, event=name)
    thumb.put({"round": called, "holes": {"1": typed_hole("8")}})
    reading = thumb.reading()
    assert reading.problems == []
    meant = " ".join(name.split())
    assert reading.putts.select("player", "course", "event").row(0) == (meant, meant, meant)
    # No spreadsheet runs a name, wherever it parts the cells.
    first = thumb.value("#text").splitlines()[1]
    assert not re.search(r"[,;\"]+[=+@-]", first), first


def test_where_nothing_can_be_kept_it_says_so(thumb: Thumb) -> None:
    refuse = "Storage.prototype.setItem = () => { throw new Error('not here'); };"
    made = thumb.browser.execute_cdp_cmd(
        "Page.addScriptToEvaluateOnNewDocument", {"source": refuse}
    )
    try:
        thumb.open()
        assert thumb.find("#unkept").is_displayed()
        thumb.tap("#start")
        thumb.putt(1, "8", ("result", "holed"))
        assert thumb.faults() == []
    finally:
        thumb.browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)
    thumb.run("arguments[0].hidden = true", thumb.find("#unkept"))


def test_two_tabs_do_not_undo_each_other(thumb: Thumb) -> None:
    first = thumb.browser.current_window_handle
    thumb.browser.switch_to.new_window("tab")
    try:
        thumb.open()
        thumb.type("#course", "Otterholt Park")
    finally:
        thumb.browser.close()
        thumb.browser.switch_to.window(first)
    thumb.type("#event", "Medal")
    assert thumb.value("#course") == "Otterholt Park"
    thumb.open()
    assert thumb.value("#course") == "Otterholt Park"


def full(thumb: Thumb) -> None:
    """A card with every part of the page in sight: misses, a fault, a hole not played."""
    missed = typed_hole("31'6", "abc", "2")
    missed["putts"][0] |= {"turn": "left to right", "pace": "short", "slope": "uphill"}
    holes = {"1": missed, "2": {**typed_hole(), "ending": "not played"}, "3": typed_hole("9")}
    thumb.put({"round": typed_round(unit="paces"), "holes": holes, "at": 1})


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 390, 1280])
def test_every_part_can_be_read_hit_and_named(thumb: Thumb, width: int, scheme: str) -> None:
    full(thumb)
    thumb.open(width, scheme=scheme)
    thumb.tap("[data-do='text']")
    for step in (
        "",
        "[data-view='round']",
        "[data-view='holes']",
        "#strip-button",
        "[data-do='more']",
    ):
        if step:
            thumb.tap(step)
        found = thumb.run(LOOK)
        assert found.pop("wide") <= 0
        assert {key: value for key, value in found.items() if value} == {}, step


def test_focus_follows_and_faults_are_heard(thumb: Thumb) -> None:
    thumb.tap("#start")
    focus = "return document.activeElement.id"
    assert thumb.run(focus) == "hole-title"
    thumb.tap("[data-count='1']")
    thumb.type("#putt-1-length", "abc")
    assert "'abc' is not a length" in thumb.text("#heard")
    field = thumb.find("#putt-1-length")
    assert field.get_attribute("aria-invalid") == "true"
    described = field.get_attribute("aria-describedby")
    assert thumb.text(f"#{described}") == thumb.text("#heard")
    thumb.type("#putt-1-length", "8")
    assert field.get_attribute("aria-invalid") is None
    thumb.type("#putt-1-length", "")
    thumb.tap("[data-view='save']")
    thumb.tap("[data-fault='0']")
    assert thumb.run(focus) == "putt-1-length"


def test_without_script_it_says_so_and_prints(thumb: Thumb) -> None:
    thumb.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        thumb.browser.get(thumb.page.as_uri())
        assert not thumb.find("#app").is_displayed()
        assert "JavaScript" in thumb.find("body").text
    finally:
        thumb.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


@pytest.mark.parametrize(("width", "height"), [(8.27, 11.69), (8.5, 11)], ids=["A4", "Letter"])
def test_it_prints_on_one_page(thumb: Thumb, width: float, height: float) -> None:
    full(thumb)
    sheet = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": True}
    printed = thumb.browser.execute_cdp_cmd("Page.printToPDF", sheet)
    assert len(re.findall(rb"/Type\s*/Page\b", base64.b64decode(printed["data"]))) == 1
    assert thumb.text("[data-row='0'] [data-write='length']") == "31'6"
    assert thumb.text("[data-row='0'] .ringed") == "up"


def test_downloads_are_whole(thumb: Thumb) -> None:
    thumb.put({"round": typed_round(round="2"), "holes": {"1": typed_hole("8")}})
    saved = thumb.save()
    assert saved.name == "2026-05-03-saltmarsh-links-round-2.csv"
    assert saved.read_bytes().startswith(b"\xef\xbb\xbfdate,player,")
    assert read_scorecard(saved).problems == []
    frame = pl.read_csv(saved)
    assert frame["distance_ft"].drop_nulls().to_list() == [8]
    assert "Saved as" in thumb.text("#done")
    shutil.rmtree(thumb.downloads)


def test_what_a_hole_was_comes_back_after_not_played(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.putt(1, "8", ("result", "conceded"))
    for _ in range(2):
        thumb.tap("[data-ending='not played']")
    assert thumb.text("#means") == "One putt, the last given."
    assert thumb.value("#putt-1-length") == "8"


def test_a_putt_written_before_picking_up_was_struck(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.tap("[data-ending='picked up']")
    assert thumb.text("#means") == "The ball was lifted before a putt."
    thumb.tap("[data-ending='picked up']")
    thumb.putt(1, "40")
    thumb.tap("[data-ending='picked up']")
    assert thumb.text("#means") == "One putt struck, then the ball was lifted."


def test_the_keyboard_keeps_its_place(thumb: Thumb) -> None:
    thumb.tap("#start")
    thumb.putt(1, "20", ("result", "missed"))
    focus = "return document.activeElement.textContent.trim()"
    assert thumb.run(focus) == "short"
    thumb.find("#putt-1-length").send_keys("\n")
    assert thumb.run("return document.activeElement.id") == "putt-2-length"
    thumb.tap("#strip-button")
    thumb.find("#strip-button").send_keys("\ue00c")
    assert not thumb.find("#strip").is_displayed()

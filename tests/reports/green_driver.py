"""A thumb on the practice green: touches the page of a plan as a golfer would."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from selenium import webdriver

from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.marks import pass_mark
from sgputt.practice.plan import Block, Plan, PlannedSession
from sgputt.practice.scoring import Goal
from sgputt_reports.practice import practice_page

PATIENCE_S = 10
PHONE = (390, 844)
# Where a touch would land, and whether it lands on what was meant.
_PLACE = """
const node = document.querySelector(arguments[0]);
node.scrollIntoView({block: 'nearest'});
const box = node.getBoundingClientRect();
const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
const there = document.elementFromPoint(x, y);
return [x, y, Boolean(there && node.contains(there)), there ? there.outerHTML.slice(0, 120) : ''];
"""
# Moves the page's clock on, as if so many seconds had gone by.
_LATER = """
window.later = (window.later ?? 0) + arguments[0];
window.realNow ??= Date.now.bind(Date);
Date.now = () => window.realNow() + 1000 * window.later;
"""


def drill_of(name: str) -> Drill:
    return next(each for each in load_drills() if each.id == name)


def block_of(drill: Drill, set_number: int = 1) -> Block:
    mark = pass_mark(drill)
    return Block("drill", 12, "general", mark.drill, drill.balls, set_number, mark, "for a test")


def four_in_a_row() -> Block:
    """A ladder of four tees, to be climbed within 8 balls; a set has more."""
    drill = drill_of("ladder-below-the-hole")
    goal = Goal(8, in_a_row=4)
    return replace(
        block_of(drill), drill=drill, mark=replace(pass_mark(drill), goal=goal, drill=drill)
    )


def plan_of(*blocks: Block) -> Plan:
    return Plan((PlannedSession(1, 60, blocks),), True, "", "a tour stroke", 0.0)


def some_plan() -> Plan:
    """A count, a break, a row and a gate."""
    return plan_of(
        block_of(drill_of("circle-of-eight-5ft")),
        Block("break", 2),
        four_in_a_row(),
        block_of(next(each for each in load_drills() if each.kind == "gate")),
    )


def hostile_plan(text: str) -> Plan:
    """A plan of a drill of somebody's own, whose every word is hostile."""
    block = block_of(drill_of("circle-of-eight-5ft"))
    assert block.drill is not None
    assert block.mark is not None
    drill = replace(block.drill, name=text, setup=text, do=text, success=text, safety=text)
    mark = replace(block.mark, text=text, set_up=text)
    return plan_of(replace(block, drill=drill, mark=mark, why=text))


class Finger:
    """Opens the page of a plan and touches it."""

    def __init__(self, browser: webdriver.Chrome, page: Path) -> None:
        self.browser = browser
        self.page = page
        self.downloads = page.parent / "downloads"

    def write(self, plan: Plan, player: str | None = "Mara Lindqvist") -> None:
        self.page.write_text(practice_page(plan, player, "Mind your back."), encoding="utf-8")

    def open(self, size: tuple[int, int] = PHONE, scheme: str = "light") -> None:
        wide, high = size
        phone = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": True}
        command = self.browser.execute_cdp_cmd
        command("Emulation.setDeviceMetricsOverride", phone)
        command("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 1})
        feature = {"name": "prefers-color-scheme", "value": scheme}
        command("Emulation.setEmulatedMedia", {"features": [feature]})
        where = {"behavior": "allow", "downloadPath": str(self.downloads)}
        command("Browser.setDownloadBehavior", where)
        self.browser.get(self.page.as_uri())

    def run(self, script: str, *arguments: object) -> Any:
        return self.browser.execute_script(script, *arguments)

    def touch(self, css: str, times: int = 1) -> None:
        """Touch what is there; what lies behind something else fails."""
        for _ in range(times):
            x, y, hit, there = self.run(_PLACE, css)
            assert hit, f"{css} is not to be touched: {there!r} is there"
            point = {"x": x, "y": y}
            command = self.browser.execute_cdp_cmd
            command("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
            command("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
            # A touch becomes a click in the page's own time.
            self.run("return new Promise((done) => setTimeout(done, 20))")

    def start(self) -> None:
        self.touch("[data-session='0']")

    def balls(self, made: str) -> None:
        """One letter a ball: x done, - missed."""
        for letter in made:
            self.touch("#done" if letter == "x" else "#missed")

    def text(self, css: str) -> str:
        found: str = self.run("return document.querySelector(arguments[0]).textContent", css)
        return " ".join(found.split())

    def is_shown(self, css: str) -> bool:
        return bool(self.run("return document.querySelector(arguments[0]).checkVisibility()", css))

    def later(self, seconds: int) -> None:
        self.run(_LATER, seconds)

    def rows(self) -> list[str]:
        """Rows of the file as the page would save it, without the header."""
        self.touch("#block-view [data-do='to-save']")
        found: str = self.run("return document.getElementById('text').value")
        self.touch("[data-do='to-block']")
        return found.splitlines()[1:]

    def save(self) -> Path:
        """Save the file and wait until it has come down whole."""
        name = self.text("#save-view .named")
        self.touch("#save")
        until = time.monotonic() + PATIENCE_S
        while not (self.downloads / name).exists():
            assert time.monotonic() < until, f"{name} did not come down"
            time.sleep(0.05)
        return self.downloads / name

    def logged(self) -> list[str]:
        entries = self.browser.get_log("browser")  # type: ignore[no-untyped-call]
        return [entry["message"] for entry in entries]

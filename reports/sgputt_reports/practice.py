"""The page of a practice plan: a sheet to read and to print, and the log on the practice green."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from typing import Any

from sgputt.practice.marks import PassMark
from sgputt.practice.plan import NO_MARK, WORK_MINUTES, Block, Plan, PlannedSession
from sgputt.practice.scoring import slope_word
from sgputt.practice.session_file import COLUMNS
from sgputt.safe_text import MAX_NAME, on_a_page
from sgputt.wording import RULE, percent, plural
from sgputt_reports.page import TEMPLATES, Page, render, script_json, script_of
from sgputt_reports.plans import drill_plan

SCRIPTS = ("shared", "green_count", "green_keep", "green_file", "green_page")
# Of the data that the page counts and keeps by.
_VERSION = 1
# Boxes stand in fives, so that they can be counted at a glance.
_GROUP = 5


def practice_page(
    plan: Plan,
    player: str | None = None,
    caution: str = "",
    behind: str = "",
    shown_in: str = "feet",
) -> str:
    """Write the page of a practice plan.

    Parameters
    ----------
    plan : Plan
    player : str, optional
        Whose practice it is.
    caution : str
        A word of care for practice, said once, from the drill catalogue.
    behind : str
        What the plan rests on, such as the rounds; may be empty.
    shown_in : str
        ``feet`` or ``metres``.

    Returns
    -------
    str
        One HTML document that needs no other file and no network. Its script counts balls and
        keeps the log; without it the page is a sheet for a pencil.
    """
    length = _length(plan)
    body = render(
        "practice",
        plan=plan,
        player=player,
        behind=behind,
        length=length,
        caution=caution,
        sessions=[_session(each, plan, shown_in) for each in plan.sessions],
        week=len(plan.sessions) > 1,
        streaks=any(
            block.mark is not None and block.mark.goal.in_a_row is not None
            for session in plan.sessions
            for block in session.blocks
        ),
        data=script_json(_cleaned(green_data(plan, player, shown_in))),
        rule=RULE,
        longest_name=MAX_NAME,
        no_mark=NO_MARK,
    )
    whose = f"{player}: " if player else ""
    style = (TEMPLATES / "green.css").read_text(encoding="utf-8")
    script = script_of(*SCRIPTS)
    return Page(f"{whose}practice, {length}", body, style, script, shown_in).html()


def _cleaned(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _cleaned(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_cleaned(each) for each in value]
    return on_a_page(value) if isinstance(value, str) else value


def _length(plan: Plan) -> str:
    minutes = plural(plan.sessions[0].minutes, "minute")
    many = len(plan.sessions)
    return minutes if many == 1 else f"{many} sessions of {minutes}"


def _session(session: PlannedSession, plan: Plan, shown_in: str) -> dict[str, Any]:
    return {
        "number": session.number,
        "minutes": session.minutes,
        "heading": f"Session {session.number} of {len(plan.sessions)}",
        "blocks": list(_blocks(session.blocks, shown_in)),
    }


def _blocks(blocks: Sequence[Block], shown_in: str) -> Iterator[dict[str, Any]]:
    """Blocks in order, drills numbered; a set-up is written once in a session."""
    written: dict[str, int] = {}
    number = 0
    for block in blocks:
        if block.drill is None:
            yield {"rest": block.minutes}
            continue
        number += 1
        yield {
            "rest": 0,
            "number": number,
            "block": block,
            "drill": block.drill,
            "mark": block.mark,
            "goal": "" if block.mark is None else _goal(block.mark),
            "streak": block.drill.scoring.counted == "restarts",
            "as_in": written.get(block.drill.id, 0),
            "plan": None if block.drill.id in written else drill_plan(block.drill, shown_in),
            "chances": "" if block.mark is None else _chances(block.mark),
            "boxes": _boxes(block.drill.balls),
        }
        written.setdefault(block.drill.id, number)


def _goal(mark: PassMark) -> str:
    """The mark in three words, for a list."""
    if mark.goal.in_a_row is not None:
        return f"{mark.goal.in_a_row} in a row"
    return f"{mark.goal.successes} of {mark.goal.balls}"


def _chances(mark: PassMark) -> str:
    """How often the mark is reached by the model; only with the player's own stroke."""
    if mark.passed_now is None:
        return ""
    now, aim = percent(mark.passed_now), percent(mark.passed_aim)
    return f"By the model {now} of sets pass as you putt now, {aim} a step better."


def _boxes(balls: int) -> list[int]:
    """How many empty boxes stand in each group."""
    return [min(_GROUP, balls - start) for start in range(0, balls, _GROUP)]


def green_data(plan: Plan, player: str | None = None, shown_in: str = "feet") -> dict[str, Any]:
    """What a phone needs to count a plan: its blocks with the rule by which each is counted.

    Parameters
    ----------
    plan : Plan
    player : str, optional
        Whose log it is; without one the page asks.
    shown_in : str
        ``feet`` or ``metres``: how lengths of tees are said.

    Returns
    -------
    dict
        For JSON: ``version``, ``id`` (the same for the same plan and player), ``player``,
        ``shown_in``, ``work_minutes`` after which a break is due, ``columns`` of the log's file and
        ``sessions``, each with ``number``, ``minutes`` and ``blocks``. A block is ``{"rest":
        minutes}`` or a drill with its words and ``rule``: ``balls`` of the set, ``goal_balls``
        within which the mark holds, and ``successes`` that pass, or ``in_a_row``, of which a miss
        starts again at the first of ``tees`` (``length_ft``, ``slope``); neither in a warm-up.
    """
    sessions = [
        {
            "number": session.number,
            "minutes": session.minutes,
            "blocks": [_counted(each) for each in session.blocks],
        }
        for session in plan.sessions
    ]
    whole = {
        "version": _VERSION,
        "player": player,
        "shown_in": shown_in,
        "work_minutes": WORK_MINUTES,
        "columns": list(COLUMNS),
        "sessions": sessions,
    }
    text = json.dumps(whole, ensure_ascii=True, sort_keys=True)
    return {**whole, "id": hashlib.sha256(text.encode()).hexdigest()[:12]}


def _counted(block: Block) -> dict[str, Any]:
    drill, mark = block.drill, block.mark
    if drill is None:
        return {"rest": block.minutes}
    goal = None if mark is None else mark.goal
    in_a_row = None if goal is None else goal.in_a_row
    tees = [(each.length_ft, slope_word(each)) for each in drill.scoring.stations]
    return {
        "drill": drill.id,
        "name": drill.name,
        "set": block.set_number,
        "minutes": block.minutes,
        "why": block.why,
        "setup": drill.setup,
        "do": drill.do,
        "success": drill.success,
        "safety": drill.safety,
        "mark": "" if mark is None else mark.text,
        "changed": "" if mark is None else mark.set_up,
        "rule": {
            "balls": drill.balls,
            "goal_balls": drill.balls if goal is None else goal.balls,
            "successes": None if goal is None else goal.successes,
            "in_a_row": in_a_row,
            "tees": [{"length_ft": ft, "slope": slope} for ft, slope in tees] if in_a_row else [],
        },
    }

"""What a phone needs to count the sets of a plan on the practice green."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from sgputt.practice.plan import WORK_MINUTES, Block, Plan
from sgputt.practice.scoring import slope_word
from sgputt.practice.session_file import COLUMNS

VERSION = 1


def green_data(plan: Plan, player: str | None = None, shown_in: str = "feet") -> dict[str, Any]:
    """The blocks of a plan with the rule by which each is counted.

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
            "blocks": [_block(each) for each in session.blocks],
        }
        for session in plan.sessions
    ]
    whole = {
        "version": VERSION,
        "player": player,
        "shown_in": shown_in,
        "work_minutes": WORK_MINUTES,
        "columns": list(COLUMNS),
        "sessions": sessions,
    }
    text = json.dumps(whole, ensure_ascii=True, sort_keys=True)
    return {**whole, "id": hashlib.sha256(text.encode()).hexdigest()[:12]}


def _block(block: Block) -> dict[str, Any]:
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

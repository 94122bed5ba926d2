"""Pass marks, in words and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sgputt.practice.aim import Aim
    from sgputt.practice.pass_mark import PassMark


def mark_json(mark: PassMark, whose: str) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        "text": mark.text,
        "successes": mark.successes,
        "balls": mark.balls,
        "in_a_row": mark.in_a_row,
        "chance_of_a_ball": mark.chance,
        "chance_of_a_ball_now": mark.chance_now,
        "sets_passed": mark.passed_aim,
        "sets_passed_now": mark.passed_now,
        "set_up": mark.set_up,
        "offer": mark.offer,
        "from": whose,
    }


def mark_lines(mark: PassMark, aim: Aim) -> list[str]:
    """A mark with its set-up and how hard it is, one sentence or two a line."""
    lines = [f"Pass mark: {mark.text}"]
    if mark.set_up:
        lines.append(f"Set up for you: {mark.set_up}")
    if mark.offer:
        lines.append(f"Size: {mark.offer}")
    lines.append(f"How hard: {how_hard(mark, aim)}")
    return lines


def how_hard(mark: PassMark, aim: Aim) -> str:
    """Shares of sets passed, now and by the stroke aimed at."""
    share = f"{100 * mark.passed_aim:.0f} in 100"
    if mark.passed_now is None:
        return f"a tour stroke passes about {share} sets (by a model)."
    now = f"as you putt now you pass about {100 * mark.passed_now:.0f} sets in 100"
    return f"{now}; the stroke to aim at passes {share} (by a model, from {aim.whose})."

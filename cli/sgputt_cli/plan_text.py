"""A practice plan, in words, as JSON, and as Markdown for print."""

from __future__ import annotations

from collections.abc import Iterator

import click

from sgputt.practice.plan import Block, Plan, Session
from sgputt.wording import RULE, plural
from sgputt_cli.indented import say_under
from sgputt_cli.mark_text import mark_json
from sgputt_cli.output import say


def plan_json(plan: Plan) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        "general": plan.general,
        "note": plan.note,
        "pass_marks_from": plan.whose,
        "worth_per_round": plan.worth_per_round,
        "sessions": [
            {
                "number": session.number,
                "minutes": session.minutes,
                "blocks": [_block_json(block, plan.whose) for block in session.blocks],
            }
            for session in plan.sessions
        ],
    }


def _block_json(block: Block, whose: str) -> dict[str, object]:
    if block.drill is None or block.mark is None:
        return {"kind": block.kind, "minutes": block.minutes}
    return {
        "kind": block.kind,
        "minutes": block.minutes,
        "role": block.role,
        "drill": block.drill.id,
        "drill_name": block.drill.name,
        "set": block.set_number,
        "balls": block.drill.balls,
        "full_balls": block.full_balls,
        "setup": block.drill.setup,
        "do": block.drill.do,
        "pass_mark": mark_json(block.mark, whose),
        "why": block.why,
        "worth_per_round": block.worth_per_round,
    }


def say_plan(plan: Plan, caution: str) -> None:
    """Print a plan within 80 columns."""
    if plan.note:
        say(plan.note)
        say()
    told: set[str] = set()
    for session in plan.sessions:
        click.echo(_heading(plan, session))
        for number, block in enumerate(session.blocks, 1):
            head, *lines = _lines(block, told)
            say(f"{number}. {head}")
            for line in lines:
                say_under(line, 3)
        click.echo()
    for line in (_worth(plan), _from(plan), caution, RULE, _next(plan)):
        if line:
            say(line)


def _heading(plan: Plan, session: Session) -> str:
    if len(plan.sessions) == 1:
        return f"Plan for {session.minutes} minutes"
    return f"Session {session.number} of {len(plan.sessions)}: {session.minutes} minutes"


def _lines(block: Block, told: set[str]) -> Iterator[str]:
    """One block; its set-up and what to do are said the first time only."""
    if block.drill is None or block.mark is None:
        yield f"Break, {block.minutes} minutes: stand up straight and walk about."
        return
    yield _title(block)
    yield f"Why: {block.why}.{_brings(block)}"
    if block.drill.id not in told:
        yield f"Set-up: {block.drill.setup}"
        yield f"Do: {block.drill.do}"
    else:
        yield "Set-up: as before."
    told.add(block.drill.id)
    if block.mark.set_up:
        yield f"Set up for you: {block.mark.set_up}"
    yield f"Pass mark: {block.mark.text}"


def _title(block: Block) -> str:
    assert block.drill is not None
    streak = block.drill.scoring.type == "streak"
    balls = f"{'at most ' if streak else ''}{plural(block.drill.balls, 'ball')}"
    if block.drill.balls < block.full_balls:
        balls += f" of its {block.full_balls}"
    again = ", second set" if block.set_number > 1 else ""
    return f"{block.drill.name}{again} ({block.minutes} minutes, {balls})"


def _brings(block: Block) -> str:
    if block.worth_per_round is None:
        return ""
    if block.worth_per_round < 0.005:
        return " Worth: under 0.01 a round."
    return f" Worth: about {block.worth_per_round:.2f} a round."


def _worth(plan: Plan) -> str:
    if plan.general:
        return ""
    regular = "kept up" if len(plan.sessions) == 1 else "done every week"
    return (
        f"Worth, {regular}: about {plan.worth_per_round:.2f} strokes a round together, if half"
        " of a loss can be won back. A loss that several drills train is counted once."
    )


def _from(plan: Plan) -> str:
    return f"Pass marks are worked out by a model from {plan.whose}."


def _next(plan: Plan) -> str:
    first = next(block.drill for block in plan.sessions[0].blocks if block.drill)
    counts = "--balls N --successes N"
    if first.scoring.type == "streak":
        counts = "--balls N --restarts N"
    return f"Log each set: sgputt drills log {first.id} {counts}"


def plan_markdown(plan: Plan, player: str | None, caution: str) -> str:
    """A plan as Markdown, with boxes to tick and room for what was counted."""
    from sgputt_reports.export_forms import escaped

    lines = [f"# Putting practice{f': {escaped(player)}' if player else ''}", ""]
    lines += [escaped(plan.note), ""] if plan.note else []
    lines += [_worth(plan), ""] if _worth(plan) else []
    told: set[str] = set()
    for session in plan.sessions:
        lines += [f"## {_heading(plan, session)}", ""]
        for block in session.blocks:
            lines += _markdown(block, told)
    lines += ["## Mind", "", caution, "", f"{_from(plan)} {RULE}", ""]
    return "\n".join(lines)


def _markdown(block: Block, told: set[str]) -> list[str]:
    if block.drill is None or block.mark is None:
        return [f"*Break, {block.minutes} minutes: stand up straight and walk about.*", ""]
    from sgputt_reports.export_forms import escaped

    lines = [
        f"### [ ] {escaped(_title(block))}",
        "",
        f"{_first_up(escaped(block.why))}.{_brings(block)}",
        "",
    ]
    if block.drill.id not in told:
        lines.append(f"- **Set-up:** {escaped(block.drill.setup)}")
        lines.append(f"- **Do:** {escaped(block.drill.do)}")
    told.add(block.drill.id)
    if block.mark.set_up:
        lines.append(f"- **Set up for you:** {escaped(block.mark.set_up)}")
    count = "restarts" if block.drill.scoring.type == "streak" else "successes"
    lines += [f"- **Pass mark:** {escaped(block.mark.text)}", f"- balls ____ {count} ____", ""]
    return lines


def _first_up(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"

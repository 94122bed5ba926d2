"""What to practise, at the terminal: the next drill, a session, a week, a warm-up, a dated goal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import click
import polars as pl

from sgputt.archive.store import NO_ROUNDS_HINT
from sgputt.practice.decision import Decision, decide
from sgputt.practice.drills import Drill, load_caution
from sgputt.practice.plan import (
    NO_MARK,
    USUAL_SESSIONS,
    Block,
    DatedGoal,
    Plan,
    PlannedSession,
    goal_by,
    make_plan,
    warm_up,
)
from sgputt.putts.table import PUTTS_SCHEMA
from sgputt.putts.units import said_in_metres
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.wording import LEAST_SHOWN, RULE, plural, worth_shown
from sgputt_cli.options import PAGES, RoundFilter, Shared
from sgputt_cli.output import (
    say,
    say_indented,
    say_lengths_in,
    to_whoever_reads,
    write_file,
    write_json,
    write_line,
)
from sgputt_cli.selection import all_drills, select_season, stored_rounds
from sgputt_cli.stored import has_archive, open_archive, settings_of

WEEK_MINUTES = 60
_TOUR = "tour"


def write_decision(
    shared: Shared, which: RoundFilter, own: Path | None, towards: str | None, by: date | None
) -> None:
    """The next drill, the others in order, and where asked for what may be reached by a day."""
    say_lengths_in(settings_of(shared).shown_in)
    player, season, decision = _decided(shared, which, own, towards)
    goal = None if by is None else _goal(decision, by)
    if shared.as_json:
        more = {} if goal is None else {"goal": goal.as_dict()}
        write_json({**decision.as_dict(player), **more})
        return
    if player is not None:
        say(f"{player}, {plural(decision.rounds, 'round')}{season}")
    say_decision(decision)
    for each in decision.priorities[1:]:
        worth = worth_shown(each.worth_per_round)
        say(f"{each.rank}. {each.need.named}, {worth} a round: {each.drill.name}")
    say(f"Worths are a model's yardstick; {decision.step_meaning}.")
    for line in decision.since:
        say(f"Since your log: {line}")
    if goal is not None:
        say(goal.words)
        for step in goal.milestones:
            say_indented(f"{step.day}: {step.name}, step {step.step}, passed twice.", 3)
    if not decision.rounds:
        say(NO_ROUNDS_HINT)


def write_plan(
    shared: Shared,
    which: RoundFilter,
    own: Path | None,
    minutes: int | None,
    sessions: int | None,
    week: bool,
    out: Path | None,
) -> None:
    """A session or a week of them."""
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    player, season, decision = _decided(shared, which, own, None, plan=True)
    many = (sessions or USUAL_SESSIONS) if week else 1
    plan = make_plan(decision, all_drills(own), minutes or WEEK_MINUTES, many)
    with to_whoever_reads():
        if shared.as_json:
            write_json({**decision.as_dict(player), "plan": plan.as_dict()})
        else:
            if player is not None:
                say(f"{player}, {plural(decision.rounds, 'round')}{season}")
            _say_plan(plan)
    if out is not None:
        behind = f"{plural(decision.rounds, 'round')}{season}" if decision.rounds else ""
        page = written_plan(plan, player, out, behind, shown_in)
        write_file(out, page, quiet=shared.as_json)


def write_warm_up(shared: Shared, own: Path | None, minutes: int | None, out: Path | None) -> None:
    """A warm-up on the day's greens."""
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    plan = warm_up(all_drills(own), minutes or _WARM_UP_MINUTES)
    with to_whoever_reads():
        if shared.as_json:
            write_json({"plan": plan.as_dict()})
        else:
            _say_plan(plan)
    if out is not None:
        page = written_plan(plan, None, out, "", shown_in)
        write_file(out, page, quiet=shared.as_json)


_WARM_UP_MINUTES = 12


def written_plan(plan: Plan, player: str | None, out: Path, behind: str, shown_in: str) -> str:
    """The plan in the form that the name of the file asks for."""
    if out.suffix.lower() not in PAGES:
        text = plan_markdown(plan, player, load_caution())
        return said_in_metres(text) if shown_in == "metres" else text
    from sgputt_reports.practice import practice_page

    return practice_page(plan, player, load_caution(), behind, shown_in)


def _decided(
    shared: Shared, which: RoundFilter, own: Path | None, towards: str | None, plan: bool = False
) -> tuple[str | None, str, Decision]:
    """Whose decision, which rounds, and the decision; for a plan without rounds a general one."""
    if plan and not _any_rounds(shared) and shared.player is None:
        nothing = pl.DataFrame(schema=PUTTS_SCHEMA)
        return None, "", decide(nothing, 0, None, all_drills(own))
    analysis = select_season(shared, which=which, own=own)
    yardstick = None if towards is None else _yardstick(shared, towards)
    decision = analysis.decision if yardstick is None else analysis.decide(yardstick)
    return analysis.player, f", {analysis.season}", decision


def _any_rounds(shared: Shared) -> bool:
    if not has_archive(shared):
        return False
    with open_archive(shared) as archive:
        return bool(archive.players())


def _yardstick(shared: Shared, towards: str) -> tuple[str, PuttingStroke]:
    """The stroke to measure against: the tour's, or that of a player of the archive."""
    if towards.casefold() == _TOUR:
        return "a tour player", TOUR_STROKE
    rounds = stored_rounds(replace(shared, player=towards))
    return rounds.player, fit_putting_stroke(rounds.putts).stroke


def _goal(decision: Decision, by: date) -> DatedGoal:
    today = date.today()
    if by <= today:
        raise click.UsageError(f"--by {by}: that day has come already. Write a later one.")
    return goal_by(decision, today, by)


def say_decision(decision: Decision) -> None:
    """The next drill: what, why, set-up, mark, and what it is worth."""
    if not decision.priorities:
        say("There is no drill to choose from: see sgputt drills.")
        return
    first = decision.priorities[0]
    say(f"{decision.title}: {first.drill.name} ({first.minutes} minutes)")
    say(f"Why: {first.why}.")
    say(f"Pass mark: {first.pass_mark}")
    say(f"Worth: {first.worth_words}.")
    if decision.note:
        say(decision.note)
    say(f"Set-up: {first.drill.setup}")
    say(f"Do: {first.drill.do}")
    if first.set_up:
        say(f"Set up for you: {first.set_up}")


def _say_plan(plan: Plan) -> None:
    if plan.note:
        say(plan.note)
        say()
    told: set[str] = set()
    for session in plan.sessions:
        click.echo(_heading(plan, session))
        for number, block in enumerate(session.blocks, 1):
            head, *lines = _block_lines(block, told)
            say(f"{number}. {head}")
            for line in lines:
                say_indented(line, 3)
        click.echo()
    for line in (_worth(plan), _from(plan), load_caution(), RULE):
        if line:
            say(line)
    block = next(each for each in plan.sessions[0].blocks if each.drill)
    if block.role != "warm-up" and block.drill is not None:
        say("Log each set:")
        # Not wrapped, so that it can be copied.
        write_line(f"  sgputt drills log {block.drill.id} {block.drill.scoring.log_options}")


def _heading(plan: Plan, session: PlannedSession) -> str:
    if len(plan.sessions) == 1:
        return f"Plan for {session.minutes} minutes"
    return f"Session {session.number} of {len(plan.sessions)}: {session.minutes} minutes"


def _block_lines(block: Block, told: set[str]) -> Iterator[str]:
    """One block; its set-up and what to do are said the first time only."""
    if block.drill is None:
        yield _break(block)
        return
    yield _title(block, block.drill)
    yield f"Why: {block.why}.{_brings(block)}"
    if block.drill.id not in told:
        yield f"Set-up: {block.drill.setup}"
        yield f"Do: {block.drill.do}"
    else:
        yield "Set-up: as before."
    told.add(block.drill.id)
    if block.mark is not None:
        if block.mark.set_up:
            yield f"Set up for you: {block.mark.set_up}"
        yield f"Pass mark: {block.mark.text}"
    elif block.role != "warm-up":
        yield f"Pass mark: {NO_MARK}"


def _break(block: Block, emphasis: str = "") -> str:
    text = f"Break, {block.minutes} minutes: stand up straight and walk about."
    return f"{emphasis}{text}{emphasis}"


def _title(block: Block, drill: Drill) -> str:
    most = "at most " if drill.scoring.counted == "restarts" else ""
    balls = f"{most}{plural(drill.balls, 'ball')}"
    if drill.balls < block.full_balls:
        balls += f" of its {block.full_balls}"
    again = ", second set" if block.set_number > 1 else ""
    return f"{drill.name}{again} ({block.minutes} minutes, {balls})"


def _brings(block: Block) -> str:
    if block.worth_per_round is None:
        return ""
    return f" Worth: {worth_shown(block.worth_per_round)} a round."


def _worth(plan: Plan) -> str:
    if plan.worth_per_round < LEAST_SHOWN:
        return ""
    return (
        f"Worth of these sets together: {worth_shown(plan.worth_per_round)} strokes a round, as far"
        f" as a set brings its share of a step; {plan.step}."
    )


def _from(plan: Plan) -> str:
    return f"Pass marks are worked out by a model from {plan.whose}." if plan.whose else ""


def plan_markdown(plan: Plan, player: str | None, caution: str) -> str:
    """A plan as Markdown, with boxes to tick and room for what was counted."""
    from sgputt_reports.tables import escaped

    lines = [f"# Putting practice{f': {escaped(player)}' if player else ''}", ""]
    lines += [escaped(plan.note), ""] if plan.note else []
    lines += [_worth(plan), ""] if _worth(plan) else []
    told: set[str] = set()
    for session in plan.sessions:
        lines += [f"## {_heading(plan, session)}", ""]
        for block in session.blocks:
            if block.drill is None:
                lines += [_break(block, "*"), ""]
                continue
            lines += [f"### [ ] {escaped(_title(block, block.drill))}", ""]
            lines += [f"{escaped(block.why)}.{_brings(block)}", ""]
            if block.drill.id not in told:
                lines.append(f"- **Set-up:** {escaped(block.drill.setup)}")
                lines.append(f"- **Do:** {escaped(block.drill.do)}")
            told.add(block.drill.id)
            if block.mark is not None and block.mark.set_up:
                lines.append(f"- **Set up for you:** {escaped(block.mark.set_up)}")
            if block.mark is not None:
                lines.append(f"- **Pass mark:** {escaped(block.mark.text)}")
                lines.append(f"- balls ____ {block.drill.scoring.counted} ____")
            elif block.role != "warm-up":
                lines += [f"- **Pass mark:** {NO_MARK}", "- balls ____ successes ____"]
            lines.append("")
    lines += ["## Mind", "", caution, "", f"{_from(plan)} {RULE}".strip(), ""]
    return "\n".join(lines)

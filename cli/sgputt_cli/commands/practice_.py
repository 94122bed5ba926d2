"""``sgputt practice``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.practising import all_drills, own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    import polars as pl

    from sgputt.practice.aim import Aim
    from sgputt.practice.drills import Drill
    from sgputt.practice.plan import Plan
    from sgputt.practice.priorities import Priority

_WEEK_MINUTES = 60
_GENERAL_MINUTES = 15
_PAGES = (".html", ".htm")


@click.command("practice")
@click.option("--minutes", type=click.IntRange(5, 240), help="Plan a session of so many minutes.")
@click.option("--week", is_flag=True, help="Plan a week of sessions (60 minutes each).")
@click.option("--sessions", type=click.IntRange(1, 14), help="Sessions in the week (4).")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Plan as a page to print (.html), else as Markdown.",
)
@own_option
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(
    shared: Shared,
    which: Which,
    minutes: int | None,
    week: bool,
    sessions: int | None,
    out: Path | None,
    own: Path | None,
) -> None:
    """Decide which drill to do next, or plan a session.

    With --minutes or --week it plans whole sessions; without rounds that plan is
    a general one.

    \b
    Examples:
      sgputt practice --player "Mara Lindqvist"
      sgputt practice --last 20
      sgputt practice --minutes 60
      sgputt practice --week --sessions 3 --minutes 45 --out plan.html
    """
    if sessions is not None and not week:
        raise click.UsageError("--sessions goes with --week: sgputt practice --week --sessions 3")
    planned = minutes is not None or week
    if out is not None and not planned:
        raise click.UsageError("--out writes a plan: add --minutes 60, or --week.")
    drills = all_drills(own)
    facts = _facts(shared, which, planned)
    if not planned:
        _decide(shared, facts, drills)
        return
    number = (sessions or _usual_sessions()) if week else 1
    _plan(shared, facts, drills, minutes or _WEEK_MINUTES, number, out)


def _usual_sessions() -> int:
    from sgputt.practice.plan import USUAL_SESSIONS

    return USUAL_SESSIONS


@dataclass(frozen=True)
class _Facts:
    """What is known of the player; nothing before the first round."""

    player: str | None
    season: str
    rounds: int
    cells: pl.DataFrame | None
    aim: Aim


def _facts(shared: Shared, which: Which, planned: bool) -> _Facts:
    from sgputt.practice.aim import GENERAL
    from sgputt_cli.selection import select_season

    if planned and shared.player is None and _without_rounds(shared):
        return _Facts(None, "", 0, None, GENERAL)
    found = select_season(shared, which=which)
    return _Facts(found.player, found.season, found.rounds, found.cells, found.aim)


def _without_rounds(shared: Shared) -> bool:
    from sgputt_cli.practising import is_there

    if not is_there(shared):
        return True
    with shared.open_archive() as archive:
        return not archive.players()


def _decide(shared: Shared, facts: _Facts, drills: tuple[Drill, ...]) -> None:
    """The next drill, and the losses behind it."""
    from sgputt.practice.drills import load_caution
    from sgputt.practice.pass_mark import pass_mark
    from sgputt.practice.plan import FEWEST_ROUNDS, make_plan
    from sgputt.practice.priorities import rank_priorities
    from sgputt.wording import NOTHING_COUNTS, RULE, plural
    from sgputt_cli.output import say
    from sgputt_cli.practice_text import say_decision, say_general, say_priorities

    assert facts.cells is not None
    early = facts.rounds < FEWEST_ROUNDS
    aim = facts.aim
    priorities = (
        [] if early else rank_priorities(facts.cells, drills, target=aim.target, own=aim.own)
    )
    if shared.as_json:
        _write_json(facts, priorities)
        return
    say(f"{facts.player}, {plural(facts.rounds, 'round')}, {facts.season}")
    if facts.cells.is_empty():
        say(NOTHING_COUNTS)
        return
    if early:
        say_general(make_plan(None, drills, _GENERAL_MINUTES, aim=aim, rounds=facts.rounds), aim)
        return
    first = priorities[0].drill if priorities else None
    mark = pass_mark(first, facts.aim.target, facts.aim.own) if first else None
    say_decision(priorities, facts.rounds, mark, facts.aim)
    say()
    say_priorities(priorities)
    say(load_caution())
    say(RULE)
    say("A whole session: sgputt practice --minutes 60; a week: sgputt practice --week")


def _write_json(facts: _Facts, priorities: list[Priority], plan: Plan | None = None) -> None:
    from sgputt.practice.pass_mark import pass_mark
    from sgputt_cli.mark_text import mark_json
    from sgputt_cli.output import write_json
    from sgputt_cli.plan_text import plan_json

    aim = facts.aim
    drills = {each.drill.id: each.drill for each in priorities}
    marks = {
        name: mark_json(pass_mark(drill, aim.target, aim.own), aim.whose)
        for name, drill in drills.items()
    }
    write_json(
        {
            "player": facts.player,
            "rounds": facts.rounds,
            "priorities": [each.as_dict() for each in priorities],
            "own_pass_marks": marks,
            **({} if plan is None else {"plan": plan_json(plan)}),
        }
    )


def _plan(
    shared: Shared,
    facts: _Facts,
    drills: tuple[Drill, ...],
    minutes: int,
    sessions: int,
    out: Path | None,
) -> None:
    from sgputt.practice.drills import load_caution
    from sgputt.practice.plan import make_plan
    from sgputt.practice.priorities import rank_priorities
    from sgputt_cli.output import plural, say, write_file
    from sgputt_cli.plan_text import say_plan

    plan = make_plan(facts.cells, drills, minutes, sessions, facts.aim, facts.rounds)
    if shared.as_json:
        aim, cells = facts.aim, facts.cells
        priorities = (
            [] if cells is None else rank_priorities(cells, drills, target=aim.target, own=aim.own)
        )
        _write_json(facts, priorities, plan)
    else:
        if facts.player is not None:
            say(f"{facts.player}, {plural(facts.rounds, 'round')}, {facts.season}")
        say_plan(plan, load_caution())
    if out is not None:
        write_file(out, _written(plan, facts, out), quiet=shared.as_json)


def _written(plan: Plan, facts: _Facts, out: Path) -> str:
    """The plan in the form that the name of the file asks for."""
    from sgputt.practice.drills import load_caution
    from sgputt_cli.output import plural
    from sgputt_cli.plan_text import plan_markdown

    if out.suffix.lower() not in _PAGES:
        return plan_markdown(plan, facts.player, load_caution())
    from sgputt_reports.practice import practice_page

    behind = f"{plural(facts.rounds, 'round')}, {facts.season}" if facts.rounds else ""
    return practice_page(plan, facts.player, load_caution(), behind)

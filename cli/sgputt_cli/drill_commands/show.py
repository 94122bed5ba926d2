"""``sgputt drills NAME``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import aim_of_one, all_drills, find_drill, own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("show")
@click.argument("drill_id", metavar="NAME")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, drill_id: str, own: Path | None) -> None:
    """Show how a drill is set up, with your pass mark.

    The mark is worked out from your stored putts; without any, from a tour
    stroke.

    \b
    Example:
      sgputt drills circle-of-eight-5ft
    """
    from sgputt.practice.drills import load_caution
    from sgputt.practice.pass_mark import pass_mark
    from sgputt_cli.commands.drills_ import COMMANDS, drill_json, trains
    from sgputt_cli.mark_text import mark_json, mark_lines
    from sgputt_cli.output import say, write_json

    drill = find_drill(all_drills(own), drill_id, COMMANDS)
    aim = aim_of_one(shared)
    mark = pass_mark(drill, aim.target, aim.own)
    drill = mark.drill
    if shared.as_json:
        write_json([{**drill_json(drill), "pass_mark": mark_json(mark, aim.whose)}])
        return
    say(f"{drill.name} ({drill.minutes} minutes, {drill.balls} balls)")
    lines = [f"Trains: {trains(drill)}", f"Set-up: {drill.setup}", f"Do: {drill.do}"]
    lines += [f"Success: {drill.success}", *mark_lines(mark, aim), f"How often: {drill.dose}"]
    lines += [f"Mind: {drill.safety}"] if drill.safety else []
    for line in [*lines, f"Caution: {load_caution()}"]:
        say()
        say(line)
    say()
    counts = "--balls N --restarts N" if mark.in_a_row else "--balls N --successes N"
    click.echo(f"Afterwards: sgputt drills log {drill.id} {counts}")

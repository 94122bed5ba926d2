"""``sgputt practice``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared


@click.command("practice")
@click.option(
    "--own", type=click.Path(dir_okay=False, path_type=Path), help="File of drills of your own."
)
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(shared: Shared, which: Which, own: Path | None) -> None:
    """Decide which drill to do next, from all stored rounds or the latest.

    \b
    Examples:
      sgputt practice --player "Mara Lindqvist"
      sgputt practice --last 20
    """
    from sgputt.inference.cells import cell_table
    from sgputt.practice.drills import load_caution, load_drills
    from sgputt.practice.priorities import rank_priorities
    from sgputt_cli.output import plural, say, write_json
    from sgputt_cli.practice_text import priority_json, say_decision, say_priorities
    from sgputt_cli.selection import select

    drills = load_drills(own)
    selection = select(shared, which=which)
    priorities = rank_priorities(cell_table(selection.scored.matrix), drills)
    rounds = selection.scored.rounds.height
    if shared.as_json:
        write_json(
            {
                "player": selection.player,
                "rounds": rounds,
                "priorities": [priority_json(each) for each in priorities],
            }
        )
        return
    say(f"{selection.player}, {plural(rounds, 'round')}, {selection.season}")
    say_decision(priorities, rounds)
    say()
    say_priorities(priorities)
    say(load_caution())
    say("For use after the round, not during it (Rule 4.3a and local rules).")

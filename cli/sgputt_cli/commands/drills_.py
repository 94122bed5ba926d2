"""``sgputt drills``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice.drills import Drill


@click.command("drills")
@click.argument("drill_id", required=False)
@click.option(
    "--own", type=click.Path(dir_okay=False, path_type=Path), help="File of drills of your own."
)
@takes_shared("json")
def command(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """List the drills, or show how one is set up.

    \b
    Examples:
      sgputt drills
      sgputt drills circle-of-eight-5ft
    """
    from sgputt.practice.drills import load_drills
    from sgputt_cli.output import table, write_json

    drills = load_drills(own)
    chosen = drills if drill_id is None else (_find(drills, drill_id),)
    if shared.as_json:
        write_json([_as_json(drill) for drill in chosen])
    elif drill_id is None:
        table(
            f"{len(drills)} drills (show one with: sgputt drills NAME)",
            ["name", "trains", "balls", "minutes"],
            [(d.id, _trains(d), str(d.balls), str(d.minutes)) for d in drills],
            left=2,
        )
    else:
        _show(chosen[0])


def _find(drills: tuple[Drill, ...], drill_id: str) -> Drill:
    import difflib

    for drill in drills:
        if drill.id == drill_id:
            return drill
    near = difflib.get_close_matches(drill_id, [drill.id for drill in drills], n=1)
    hint = f"Did you mean '{near[0]}'?" if near else "See them with: sgputt drills"
    raise click.UsageError(f"There is no drill '{drill_id}'. {hint}")


def _trains(drill: Drill) -> str:
    parts = [f"{t.component} {t.low_ft:g}-{t.high_ft:g} ft" for t in drill.trains]
    return ", ".join(dict.fromkeys(parts))


def _show(drill: Drill) -> None:
    from sgputt.practice.drills import load_caution
    from sgputt.practice.pass_mark import pass_mark
    from sgputt.stroke.model import TOUR
    from sgputt_cli.output import say

    say(f"{drill.name} ({drill.minutes} minutes)")
    for heading, text in (
        ("Trains", _trains(drill)),
        ("Set-up", drill.setup),
        ("Do", drill.do),
        ("Success", drill.success),
        ("Pass mark", f"{pass_mark(drill, TOUR).text} (a tour stroke, by a model)"),
        ("How often", drill.dose),
        ("Mind", drill.safety),
        ("Caution", load_caution()),
    ):
        if text:
            say()
            say(f"{heading}: {text}")


def _as_json(drill: Drill) -> dict[str, object]:
    from dataclasses import asdict

    return {key: value for key, value in asdict(drill).items() if key != "file"}

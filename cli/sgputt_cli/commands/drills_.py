"""``sgputt drills``: the catalogue, and the log of what was practised."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import all_drills, own_option, remember_own
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice.drills import Drill

COMMANDS = ("log", "history", "transfer", "undo", "read")


class _Drills(click.Group):
    """Commands of the log; any other word is the name of a drill to show."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in (*COMMANDS, "show"):
            return None
        from sgputt_cli.main import loaded

        return loaded(f"sgputt_cli.drill_commands.{cmd_name}")

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in (*COMMANDS, "show"):
            return "show", self.get_command(ctx, "show"), args
        return super().resolve_command(ctx, args)


@click.command("drills", cls=_Drills, invoke_without_command=True)
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, own: Path | None) -> None:
    """List the drills, show one, or log what you practised.

    \b
    Examples:
      sgputt drills
      sgputt drills circle-of-eight-5ft
      sgputt drills log circle-of-eight-5ft --balls 40 --successes 29
      sgputt drills history
    """
    context = click.get_current_context()
    context.obj = shared
    remember_own(own)
    if context.invoked_subcommand is None:
        _list(all_drills(own), shared.as_json)


def _list(drills: tuple[Drill, ...], as_json: bool) -> None:
    from sgputt_cli.output import table, write_json

    if as_json:
        write_json([drill_json(drill) for drill in drills])
        return
    table(
        f"{len(drills)} drills (show one with: sgputt drills NAME)",
        ["name", "trains", "balls", "minutes"],
        [(d.id, trains(d), str(d.balls), str(d.minutes)) for d in drills],
        left=2,
    )


def trains(drill: Drill) -> str:
    """What a drill trains, in a few words."""
    parts = [f"{t.component} {t.low_ft:g}-{t.high_ft:g} ft" for t in drill.trains]
    return ", ".join(dict.fromkeys(parts))


def drill_json(drill: Drill) -> dict[str, object]:
    """The form that scripts may rely on: the keys of a drill file."""
    from dataclasses import asdict

    return {key: value for key, value in asdict(drill).items() if key not in ("file", "written")}

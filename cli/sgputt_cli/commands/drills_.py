"""``sgputt drills``: the catalogue, and the log of what was practised."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import own_option, remember_own
from sgputt_cli.shared import Shared, takes_shared

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
@click.option("--table", is_flag=True, help="Which drill serves what.")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, table: bool, own: Path | None) -> None:
    """List the drills, show one, or log what you practised.

    \b
    Examples:
      sgputt drills
      sgputt drills --table
      sgputt drills circle-of-eight-5ft
      sgputt drills log circle-of-eight-5ft --balls 40 --successes 29
      sgputt drills history
    """
    context = click.get_current_context()
    context.obj = shared
    remember_own(own)
    if context.invoked_subcommand is None:
        from sgputt_cli import drills

        (drills.table_drills if table else drills.list_drills)(shared, own)

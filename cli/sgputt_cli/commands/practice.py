"""Practice: what to do next, the drills, and the log of what was practised."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.options import (
    DAY,
    MARKDOWN,
    PAGES,
    NamedForm,
    RoundFilter,
    Shared,
    own_option,
    remember_own,
    takes_round_filter,
    takes_shared,
)

if TYPE_CHECKING:
    from sgputt.scorecard.cells import DateOrder

LOG_COMMANDS = ("log", "history", "transfer", "undo", "read")


@click.command("practice")
@click.option("--minutes", type=click.IntRange(5, 240), help="Plan a session of so many minutes.")
@click.option("--week", is_flag=True, help="Plan a week of sessions (60 minutes each).")
@click.option("--sessions", type=click.IntRange(1, 14), help="Sessions in the week (4).")
@click.option("--before-round", is_flag=True, help="A warm-up of 10 to 15 minutes (12).")
@click.option(
    "--towards", metavar="WHOM", help="Measure against 'tour' or a player, not one step better."
)
@click.option("--by", type=DAY, metavar="DATE", help="What can be reached by a day.")
@click.option(
    "--out",
    type=NamedForm(*PAGES, *MARKDOWN, ".txt"),
    help="Plan as a page (.html), or as Markdown (.md).",
)
@own_option
@takes_shared("archive", "player", "baseline", "json")
@takes_round_filter
def practice(
    shared: Shared,
    which: RoundFilter,
    minutes: int | None,
    week: bool,
    sessions: int | None,
    before_round: bool,
    towards: str | None,
    by: date | None,
    out: Path | None,
    own: Path | None,
) -> None:
    """Decide which drill to do next, or plan a session.

    The first drill is the one that is worth most to you; when nothing stands
    out it says so and names a default.

    \b
    Examples:
      sgputt practice --player "Mara Lindqvist"
      sgputt practice --towards tour
      sgputt practice --by 2027-05-01
      sgputt practice --minutes 60
      sgputt practice --week --sessions 3 --minutes 45 --out plan.html
      sgputt practice --before-round
    """
    from sgputt_cli import practice

    if sessions is not None and not week:
        raise click.UsageError("--sessions goes with --week: sgputt practice --week --sessions 3")
    if before_round and (week or towards or by):
        raise click.UsageError("--before-round stands alone, with --minutes 10 to 15 and --out.")
    if before_round:
        if minutes is not None and not 10 <= minutes <= 15:
            raise click.UsageError("A warm-up takes 10 to 15 minutes: more tires before the round.")
        practice.write_warm_up(shared, own, minutes, out)
    elif minutes is not None or week:
        if towards or by:
            raise click.UsageError("--towards and --by go with the decision, not with a plan.")
        practice.write_plan(shared, which, own, minutes, sessions, week, out)
    else:
        if out is not None:
            raise click.UsageError("--out writes a plan: add --minutes 60, or --week.")
        if towards and by:
            raise click.UsageError("--by counts steps of your own stroke: leave --towards out.")
        practice.write_decision(shared, which, own, towards, by)


class _Drills(click.Group):
    """Commands of the log; any other word is the name of a drill to show."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(LOG_COMMANDS)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in self.commands:
            return "show", self.get_command(ctx, "show"), args
        return super().resolve_command(ctx, args)


@click.group("drills", cls=_Drills, invoke_without_command=True)
@click.option("--table", is_flag=True, help="Which drill serves what.")
@own_option
@takes_shared("archive", "player", "json")
def drills(shared: Shared, table: bool, own: Path | None) -> None:
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


@drills.command("log")
@click.argument("drill_id", metavar="NAME")
@click.option("--balls", type=int, required=True, help="Balls putted.")
@click.option("--successes", type=int, help="Balls that succeeded.")
@click.option("--restarts", type=int, help="Of a drill in a row: misses that started it again.")
@click.option("--minutes", type=float, help="How long it took.")
@click.option("--date", "day", type=DAY, help="As 2026-05-03 (today).")
@click.option("--note", default="", help="A word of your own.")
@own_option
@takes_shared("archive", "player", "json")
def log(
    shared: Shared,
    drill_id: str,
    balls: int,
    successes: int | None,
    restarts: int | None,
    minutes: float | None,
    day: date | None,
    note: str,
    own: Path | None,
) -> None:
    """Log one set of a drill that you have practised.

    Log every set by itself: it is held to the pass mark of a set. Of a drill
    that starts again on a miss, the restarts will do in place of the successes.

    \b
    Examples:
      sgputt drills log circle-of-eight-5ft --balls 40 --successes 29
      sgputt drills log ladder-below-the-hole --balls 14 --restarts 3 --minutes 8
    """
    from sgputt_cli import drills

    when = day or date.today()
    drills.log_set(shared, drill_id, own, when, balls, successes, restarts, minutes, note)


@drills.command("history")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "json")
def history(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Show what was practised: success rates, pass marks, trends.

    \b
    Examples:
      sgputt drills history
      sgputt drills history circle-of-eight-5ft
    """
    from sgputt_cli import drills

    drills.show_history(shared, drill_id, own)


@drills.command("transfer")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "baseline", "json")
def transfer(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Tell whether practice shows on the course.

    For each drill logged: its success rate against the same putts on the
    course, and strokes gained in what it trains before and after you took it up.

    \b
    Examples:
      sgputt drills transfer
      sgputt drills transfer circle-of-eight-5ft --json
    """
    from sgputt_cli import drills

    drills.show_transfer(shared, drill_id, own)


@drills.command("undo")
@takes_shared("archive", "player", "json")
def undo(shared: Shared) -> None:
    """Take back the last entry of the practice log.

    Sets read from one file are one entry. With several players --player says
    whose last entry; without it, the last of anyone.

    \b
    Example:
      sgputt drills undo
    """
    from sgputt_cli import drills

    drills.undo_last(shared)


@drills.command("read")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--date-order", type=click.Choice(["dmy", "mdy"]), help="How to read 3/5/2026.")
@own_option
@takes_shared("archive", "player", "json")
def read(shared: Shared, file: Path, date_order: DateOrder | None, own: Path | None) -> None:
    """Read many sets from a file (CSV or .xlsx), a row a set.

    The first row names the columns: date, drill, balls, successes, and where
    there are any restarts, minutes, note, player. An empty date or player is the
    one above. All is stored or, with a problem, nothing. Reading the same file
    again changes nothing.

    \b
    Example:
      sgputt drills read practice.csv --player "Mara Lindqvist"
    """
    from sgputt_cli import drills

    if not drills.read_log(shared, file, date_order, own):
        raise click.exceptions.Exit(1)


@drills.command("show")
@click.argument("drill_id", metavar="NAME")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Its page, .html, or its plan, .png or .svg.",
)
@own_option
@takes_shared("archive", "player", "json")
def show(shared: Shared, drill_id: str, out: Path | None, own: Path | None) -> None:
    """Show how a drill is set up, with your pass mark.

    The mark is worked out from your stored putts; without any, from a tour
    stroke.

    \b
    Examples:
      sgputt drills circle-of-eight-5ft
      sgputt drills circle-of-eight-5ft --out circle.html
    """
    from sgputt_cli import drills

    drills.show_drill(shared, drill_id, own, LOG_COMMANDS, out)

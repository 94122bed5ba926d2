"""``sgputt practice``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("practice")
@click.option("--minutes", type=click.IntRange(5, 240), help="Plan a session of so many minutes.")
@click.option("--week", is_flag=True, help="Plan a week of sessions (60 minutes each).")
@click.option("--sessions", type=click.IntRange(1, 14), help="Sessions in the week (4).")
@click.option("--before-round", is_flag=True, help="A warm-up of 10 to 15 minutes (12).")
@click.option(
    "--towards", metavar="WHOM", help="Measure against 'tour' or a player, not one step better."
)
@click.option(
    "--by", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="What can be reached by a day."
)
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
    before_round: bool,
    towards: str | None,
    by: datetime | None,
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
        practice.write_decision(shared, which, own, towards, by.date() if by else None)

"""``sgputt drills history``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import all_drills, find_drill, open_log, own_option, whose_practice
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    import polars as pl

    from sgputt.practice.history import DrillHistory


@click.command("history")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Show what was practised: success rates, pass marks, trends.

    \b
    Examples:
      sgputt drills history
      sgputt drills history circle-of-eight-5ft
    """
    from sgputt.archive.sessions import SessionLog
    from sgputt.practice.history import histories
    from sgputt_cli.output import say, write_json

    if drill_id is not None:
        drill_id = _logged_name(shared, drill_id, own)
    with open_log(shared) as archive:
        player = whose_practice(shared, archive).name
        sessions = SessionLog(archive).table(player, drill_id)
    found = histories(sessions)
    if shared.as_json:
        write_json({"player": player, "drills": [_as_json(each, sessions) for each in found]})
        return
    if not found:
        _say_nothing(player, drill_id)
        return
    say(f"Practice of {player} (intervals are 90 %)")
    for each in found:
        say()
        _show(each)
    if drill_id is not None:
        _show_sets(sessions)


def _logged_name(shared: Shared, drill_id: str, own: Path | None) -> str:
    """The name as logged; a drill that was logged once may have left its file since."""
    from sgputt.archive.sessions import SessionLog

    with open_log(shared) as archive:
        logged = set(SessionLog(archive).table()["drill"])
    if drill_id in logged:
        return drill_id
    return find_drill(all_drills(own), drill_id).id


def _say_nothing(player: str, drill_id: str | None) -> None:
    from sgputt_cli.output import say

    what = f"of {drill_id} " if drill_id else ""
    say(f"No practice {what}is logged for {player} yet.")
    say("Log a set with: sgputt drills log NAME --balls N --successes N")


def _as_json(history: DrillHistory, sessions: pl.DataFrame) -> dict[str, object]:
    import json
    from dataclasses import asdict

    import polars as pl

    from sgputt.practice.session import passed

    sets = []
    for row in sessions.filter(pl.col("drill") == history.drill).iter_rows(named=True):
        mark = json.loads(row["pass_mark"]) if row["pass_mark"] else None
        sets.append({**row, "pass_mark": mark, "passed": passed(row)})
    summary = asdict(history)
    number = summary.pop("sets")
    return {**summary, "number_of_sets": number, "sets": sets}


def _show(each: DrillHistory) -> None:
    from sgputt_cli.indented import say_under
    from sgputt_cli.output import plural, write_line

    span = str(each.first) if each.first == each.last else f"{each.first} to {each.last}"
    write_line(f"{each.drill}: {plural(each.sets, 'set')}, {span}")
    rate = f"{each.successes} of {each.balls} balls, {100 * each.rate:.0f} %"
    say_under(f"Success: {rate} ({100 * each.low:.0f} to {100 * each.high:.0f} %)")
    if each.mark:
        say_under(f"Pass mark: {each.mark.rstrip('.')}. {_passed(each)}")
    say_under(f"Trend: {each.trend}.")


def _passed(each: DrillHistory) -> str:
    if each.mark_rate is None:
        return f"Passed {each.passed} of {each.judged}."
    return f"That is {100 * each.mark_rate:.0f} %; passed {each.passed} of {each.judged}."


def _show_sets(sessions: pl.DataFrame) -> None:
    from sgputt.practice.session import passed
    from sgputt_cli.output import table

    click.echo()
    table(
        "Set by set",
        ["date", "balls", "successes", "restarts", "minutes", "passed", "note"],
        [
            (
                str(row["date"]),
                str(row["balls"]),
                str(row["successes"]),
                "-" if row["restarts"] is None else str(row["restarts"]),
                "-" if row["minutes"] is None else f"{row['minutes']:g}",
                {True: "yes", False: "no", None: "-"}[passed(row)],
                row["note"],
            )
            for row in sessions.iter_rows(named=True)
        ],
    )

"""``sgputt round``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.season.round import RoundReport
    from sgputt.season.scored import Scored


@click.command("round")
@click.argument("round_id", required=False, type=int, metavar="[ID]")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "baseline", "json")
def command(shared: Shared, round_id: int | None, out: Path | None) -> None:
    """Show one round, hole by hole; the latest without an ID.

    \b
    Examples:
      sgputt round
      sgputt round 3 --out round.html
    """
    from sgputt.season.round import round_report
    from sgputt_cli.output import write_file, write_json
    from sgputt_cli.selection import select_round

    scored = select_round(shared, round_id)
    report = round_report(scored)
    if shared.as_json:
        write_json(_as_json(report))
    else:
        _show(report)
    if out is not None:
        write_file(out, _page(shared, scored, report), quiet=shared.as_json)


def _page(shared: Shared, scored: Scored, report: RoundReport) -> str:
    """The page of a round; what to practise next is that of all rounds of its player."""
    from sgputt.practice.aim import aim_of
    from sgputt.practice.drills import load_caution, load_drills
    from sgputt.practice.priorities import rank_priorities
    from sgputt.season.summary import season_summary
    from sgputt_cli.selection import select
    from sgputt_reports.round import round_page

    season = select(replace(shared, player=report.player))
    cells = season_summary(season.scored, season.player, season.season).cells
    by_distance = season_summary(scored, report.player, season.season).by_distance
    aim = aim_of(season.scored.gained)
    priorities = rank_priorities(cells, load_drills(), target=aim.target, own=aim.own)
    return round_page(report, priorities, by_distance, load_caution())


def _as_json(report: RoundReport) -> dict[str, object]:
    return {
        "round_id": report.round_id,
        "player": report.player,
        "date": str(report.date),
        "course": report.course,
        "holes": report.holes,
        "putts": report.putts,
        "strokes_gained": report.strokes_gained,
        "holing": report.holing,
        "leave": report.leave,
        "not_split": report.not_split,
        "conceded": report.conceded,
        "baseline": report.against.name,
        "baseline_approximate": report.against.approximate,
        "per_hole": report.holes_table.select(
            "hole", "putts", "first_putt_ft", "strokes_gained"
        ).to_dicts(),
    }


def _show(report: RoundReport) -> None:
    from sgputt_cli.output import named, plural, say, signed, table

    where = f"{report.player}, {report.date}, {report.course}"
    table(
        f"Round {report.round_id}: {where}",
        ["hole", "putts", "first putt", "gained", "ended"],
        [
            (
                str(row["hole"]),
                str(row["putts"]),
                "-" if row["first_putt_ft"] is None else f"{row['first_putt_ft']:.1f} ft",
                signed(row["strokes_gained"]),
                row["ending"],
            )
            for row in report.holes_table.iter_rows(named=True)
        ],
    )
    say(
        f"{plural(report.putts, 'putt')} on {plural(report.holes, 'hole')}. Strokes gained against "
        f"{named(report.against)}: "
        f"{signed(report.strokes_gained)} (holing {signed(report.holing)}, leaves "
        f"{signed(report.leave)}{_rest(report)})."
    )
    for text in _asides(report):
        say(text)
    say("One round is mostly luck: see sgputt practice for what can be told from several.")


def _rest(report: RoundReport) -> str:
    from sgputt_cli.output import signed

    return f", not split {signed(report.not_split)}" if report.not_split else ""


def _asides(report: RoundReport) -> list[str]:
    from sgputt_cli.output import plural, signed

    asides = []
    if report.not_split:
        asides.append(
            "Not split: second-putt lengths are missing, so only the hole totals are known."
        )
    if report.conceded:
        asides.append(
            f"Concessions gained {signed(report.conceded)}, kept out of the figures above."
        )
    if report.left_out:
        asides.append(f"Left out, from picked-up holes: {plural(report.left_out, 'putt')}.")
    if report.off_green:
        asides.append(f"From off the green, not counted: {plural(report.off_green, 'putt')}.")
    return asides

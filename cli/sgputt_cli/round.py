"""A round at the terminal."""

from __future__ import annotations

from pathlib import Path

from sgputt.analysis.round import RoundReport
from sgputt.wording import plural, signed
from sgputt_cli.output import (
    form_of_picture,
    named,
    say,
    say_lengths_in,
    table,
    write_file,
    write_json,
    write_picture,
)
from sgputt_cli.selection import select_round
from sgputt_cli.shared import Shared


def write_round(
    shared: Shared,
    round_id: int | None,
    out: Path | None,
    picture: Path | None = None,
    names: bool = True,
) -> None:
    """Print a round, or write it as JSON, and write its page or picture where one is named."""
    form = None if picture is None else form_of_picture(picture)
    say_lengths_in(shared.settings().shown_in)
    analysis = select_round(shared, round_id)
    if shared.as_json:
        write_json(analysis.as_dict())
    else:
        _say_round(analysis.report)
    if out is not None:
        from sgputt_reports.round import round_page

        page = round_page(analysis, shared.settings().shown_in)
        write_file(out, page, quiet=shared.as_json)
    if picture is not None and form is not None:
        from sgputt_reports.share import round_picture

        drawn = round_picture(analysis, form, names, shared.settings().shown_in)
        write_picture(picture, drawn, quiet=shared.as_json)


def _say_round(report: RoundReport) -> None:
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
    rest = f", not split {signed(report.not_split)}" if report.not_split else ""
    say(
        f"{plural(report.putts, 'putt')} on {plural(report.holes, 'hole')}. Strokes gained against "
        f"{named(report.against)}: "
        f"{signed(report.strokes_gained)} (holing {signed(report.holing)}, leaves "
        f"{signed(report.leave)}{rest})."
    )
    if report.not_split:
        say("Not split: second-putt lengths are missing, so only the hole totals are known.")
    if report.conceded:
        say(f"Concessions gained {signed(report.conceded)}, kept out of the figures above.")
    if report.left_out:
        say(f"Left out, from picked-up holes: {plural(report.left_out, 'putt')}.")
    if report.off_green:
        say(f"From off the green, not counted: {plural(report.off_green, 'putt')}.")
    say("One round is mostly luck: see sgputt practice for what can be told from several.")

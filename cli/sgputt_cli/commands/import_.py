"""``sgputt import``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sgputt_cli.reading import card_options, say_problems, to_options
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.archive.store import Archive
    from sgputt.intake import Intake

_SAID = 200


@click.command("import")
@click.argument(
    "files",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, readable=False),
    metavar="FILE...",
)
@click.option("--replace", is_flag=True, help="Overwrite stored rounds that differ.")
@click.option(
    "--keep-good-holes",
    is_flag=True,
    help="Store a round's good holes; write the other rows to NAME.rejected.csv.",
)
@card_options
@takes_shared("archive", "player", "json")
def command(
    shared: Shared, files: tuple[Path, ...], replace: bool, keep_good_holes: bool, **values: Any
) -> None:
    """Store the rounds of scorecards (CSV or .xlsx).

    A round with a problem is not stored; every problem is shown. Importing the
    same file again changes nothing. A blank scorecard comes from: sgputt card

    \b
    Examples:
      sgputt import round.csv
      sgputt import scores.xlsx --player "Mara Lindqvist" --date 2026-05-03
    """
    from sgputt.intake import take_in
    from sgputt_cli.output import write_json
    from sgputt_cli.progress import tracked

    options = to_options(shared.player, values)
    intakes: list[Intake] = []
    with shared.open_archive(make=True) as archive:
        try:
            for path in tracked(files, "Importing"):
                intakes.append(take_in(path, archive, options, replace, keep_good_holes))
        finally:
            # What is stored is said even where a later file stopped the import.
            if shared.as_json:
                write_json(_as_json(files, intakes))
            else:
                for path, intake in zip(files, intakes, strict=False):
                    _say(archive, path, intake)
    raise click.exceptions.Exit(1 if any(intake.problems for intake in intakes) else 0)


def _as_json(files: tuple[Path, ...], intakes: list[Intake]) -> dict[str, object]:
    return {
        "stored": [each for intake in intakes for each in intake.stored.stored],
        "unchanged": [each for intake in intakes for each in intake.stored.unchanged],
        "replaced": [each for intake in intakes for each in intake.stored.replaced],
        "files": [_counts(path, intake) for path, intake in zip(files, intakes, strict=False)],
        "problems": [each.as_dict() for intake in intakes for each in intake.problems],
    }


def _counts(path: Path, intake: Intake) -> dict[str, object]:
    """Rows in, and where they went: every row is in one of the three."""
    rows = intake.rows
    return {
        "file": path.name,
        "rows": rows and rows.read,
        "stored": rows and len(rows.stored),
        "without_putts": rows and len(rows.without_putts),
        "not_stored": rows and rows.not_stored,
    }


def _account(path: Path, intake: Intake) -> str:
    from sgputt.safe_text import shown
    from sgputt.scorecard.row import numbered
    from sgputt_cli.output import plural

    rows = intake.rows
    if rows is None:
        return f"{path.name or path}: nothing was stored."
    parts = [f"{len(rows.stored)} stored"] if rows.stored else []
    if rows.without_putts:
        parts.append(f"{len(rows.without_putts)} without putts")
    if rows.not_stored:
        which = shown(numbered(rows.not_stored, "row"), _SAID)
        parts.append(f"{len(rows.not_stored)} not stored ({which})")
    nothing = "" if rows.stored else "nothing was stored. "
    return f"{path.name}: {nothing}{plural(rows.read, 'row')}: {', '.join(parts)}."


def _say(archive: Archive, path: Path, intake: Intake) -> None:
    from sgputt_cli.output import say, write_line

    say_problems(intake.problems, intake.notes)
    known = {row["round_id"]: row for row in archive.rounds().iter_rows(named=True)}
    for word, ids in (
        ("Stored", intake.stored.stored),
        ("Replaced", intake.stored.replaced),
        ("Unchanged", intake.stored.unchanged),
    ):
        for round_id in ids:
            row = known.get(round_id)
            if row is None:  # another process has just taken it out
                continue
            say(
                f"{word} round {round_id}: {row['player']}, {row['date']}, {row['course']}, "
                f"{row['holes']} holes, {row['putts']} putts."
            )
    if intake.rejects is not None:
        write_line(f"Rows not stored are in {intake.rejects}.", err=True)
    if intake.problems:
        write_line(_account(path, intake), err=True)
    new = intake.stored.stored + intake.stored.replaced
    if new:
        say(f"Next: sgputt round {new[-1]}, or sgputt practice")

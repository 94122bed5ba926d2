"""``sgputt import``."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sgputt_cli.practising import all_drills
from sgputt_cli.reading import card_options, say_problems, to_options
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.archive.store import Archive
    from sgputt.intake import Intake
    from sgputt.practice_intake import PracticeIntake

_SAID = 200


@dataclass
class _Taken:
    """One file that was looked at: as it was named, whether in a folder, and what became of it."""

    path: Path
    name: str
    in_folder: bool
    intake: Intake | PracticeIntake

    @property
    def left_alone(self) -> bool:
        """A text in a folder that is about something else."""
        intake = self.intake
        return (
            self.in_folder
            and self.path.suffix.casefold() == ".txt"
            and intake.kind == "card"
            and not intake.is_card
        )


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
    """Store the rounds of scorecards (CSV or .xlsx), and practice logs.

    Of a folder everything new is taken, cards and practice logs alike; type it
    again at any time. A round with a problem is not stored; every problem is
    shown. Importing the same file again changes nothing. A blank scorecard comes
    from: sgputt card

    \b
    Examples:
      sgputt import round.csv
      sgputt import scores.xlsx --player "Mara Lindqvist" --date 2026-05-03
      sgputt import golf
    """
    from sgputt.intake import take_in_any
    from sgputt_cli.output import write_json
    from sgputt_cli.progress import tracked

    options = to_options(shared.player, values)
    named, others = _all_files(files)
    taken: list[_Taken] = []
    with shared.open_archive(make=True) as archive:
        try:
            for path, name, in_folder in tracked(named, "Importing"):
                intake = take_in_any(
                    path, archive, options, lambda: all_drills(None), replace, keep_good_holes
                )
                taken.append(_Taken(path, name, in_folder, intake))
        finally:
            # What is stored is said even where a later file stopped the import.
            left = [*others, *(each.name for each in taken if each.left_alone)]
            taken = [each for each in taken if not each.left_alone]
            if shared.as_json:
                write_json(_as_json(taken, left))
            else:
                _say_all(archive, taken, left)
    raise click.exceptions.Exit(1 if any(each.intake.problems for each in taken) else 0)


def _all_files(files: tuple[Path, ...]) -> tuple[list[tuple[Path, str, bool]], list[str]]:
    """Files to read, as they are named and whether in a folder; and others of the folders."""
    from sgputt.intake import files_in

    named: list[tuple[Path, str, bool]] = []
    others: list[str] = []
    for path in files:
        # Not path.is_dir, which raises where a name is too long.
        if os.path.isdir(path):  # noqa: PTH112
            found, rest = files_in(path)
            named += [(each, str(each.relative_to(path)), True) for each in found]
            others += [str(each.relative_to(path)) for each in rest]
        else:
            named.append((path, path.name, False))
    return named, others


def _as_json(taken: list[_Taken], left: list[str]) -> dict[str, object]:
    cards = [each.intake for each in taken if each.intake.kind == "card"]
    logs = [each.intake for each in taken if each.intake.kind == "practice"]
    found: dict[str, object] = {
        "stored": [number for each in cards for number in each.stored.stored],
        "unchanged": [number for each in cards for number in each.stored.unchanged],
        "replaced": [number for each in cards for number in each.stored.replaced],
        "files": [_counts(each.name, each.intake) for each in taken],
        "problems": [problem.as_dict() for each in taken for problem in each.intake.problems],
    }
    if logs or left or any(each.in_folder for each in taken):
        found["practice"] = {
            "stored": [number for each in logs for number in each.added.stored],
            "unchanged": sum(each.added.unchanged for each in logs),
        }
        found["left_alone"] = left
    return found


def _counts(name: str, intake: Intake | PracticeIntake) -> dict[str, object]:
    """Rows in, and where they went: every row is in one of the three."""
    if intake.kind == "practice":
        new, there = len(intake.added.stored), intake.added.unchanged
        return {"file": name, "kind": "practice", "sets": intake.sets, "new": new, "before": there}
    rows = intake.rows
    return {
        "file": name,
        "rows": rows and rows.read,
        "stored": rows and len(rows.stored),
        "without_putts": rows and len(rows.without_putts),
        "not_stored": rows and rows.not_stored,
    }


def _account(name: str, intake: Intake) -> str:
    from sgputt.safe_text import shown
    from sgputt.scorecard.problem import numbered
    from sgputt_cli.output import plural

    rows = intake.rows
    if rows is None:
        return f"{name}: nothing was stored."
    parts = [f"{len(rows.stored)} stored"] if rows.stored else []
    if rows.without_putts:
        parts.append(f"{len(rows.without_putts)} without putts")
    if rows.not_stored:
        which = shown(numbered(rows.not_stored, "row"), _SAID)
        parts.append(f"{len(rows.not_stored)} not stored ({which})")
    nothing = "" if rows.stored else "nothing was stored. "
    return f"{name}: {nothing}{plural(rows.read, 'row')}: {', '.join(parts)}."


def _say_all(archive: Archive, taken: list[_Taken], left: list[str]) -> None:
    from sgputt_cli.output import plural, say

    known = {row["round_id"]: row for row in archive.rounds().iter_rows(named=True)}
    for each in taken:
        if each.intake.kind == "practice":
            _say_practice(each.name, each.intake)
        else:
            _say(known, each.name, each.intake, quiet=each.in_folder)
    folder = [each.intake for each in taken if each.in_folder]
    if not taken:
        others = f" among {plural(len(left), 'file')}" if left else ""
        say(f"There is nothing to import: no card and no practice log{others}.")
    elif folder or left:
        as_before = sum(not _is_new(each) and not each.problems for each in folder)
        wrong = sum(bool(each.problems) for each in folder)
        parts = [f"{len(folder) - as_before - wrong} new", f"{as_before} stored before"]
        parts += [f"{wrong} with problems"] if wrong else []
        parts += [f"{plural(len(left), 'other file')} left alone"] if left else []
        say(f"{plural(len(folder), 'file')}: {', '.join(parts)}.")
    rounds = [each.intake for each in taken if each.intake.kind == "card"]
    new = [number for each in rounds for number in each.stored.stored + each.stored.replaced]
    if new:
        say(f"Next: sgputt round {new[-1]}, or sgputt practice")


def _is_new(intake: Intake | PracticeIntake) -> bool:
    if intake.kind == "practice":
        return bool(intake.added.stored)
    return bool(intake.stored.stored or intake.stored.replaced)


def _say(known: dict[int, dict[str, Any]], name: str, intake: Intake, quiet: bool) -> None:
    from sgputt_cli.output import say, write_line

    say_problems(intake.problems, intake.notes)
    for word, ids in (
        ("Stored", intake.stored.stored),
        ("Replaced", intake.stored.replaced),
        ("Unchanged", [] if quiet else intake.stored.unchanged),
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
        write_line(_account(name, intake), err=True)


def _say_practice(name: str, intake: PracticeIntake) -> None:
    from sgputt_cli.output import plural, say, write_line

    for problem in intake.problems:
        write_line(f"Problem: {problem}", err=True)
    if intake.problems:
        write_line(f"{name}: nothing was stored.", err=True)
    elif intake.added.stored:
        say(f"Stored {plural(len(intake.added.stored), 'set')} of practice from {name}.")

"""Scorecards: a blank one, what reading one finds, and what an import stores."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sgputt.archive.store import Archive
from sgputt.intake import Intake, files_in, take_in_any, with_settings
from sgputt.putts.columns import Layout
from sgputt.safe_text import shown
from sgputt.scorecard import CardOptions, Problem, Reading, read_scorecard
from sgputt.scorecard.blank import blank_card
from sgputt.scorecard.files import name_of
from sgputt.scorecard.problem import numbered
from sgputt.wording import plural
from sgputt_cli.options import PAGES, Shared, own_file
from sgputt_cli.output import say, tracked, write_file, write_json, write_line, write_out
from sgputt_cli.stored import has_archive, open_archive

if TYPE_CHECKING:
    from sgputt.practice.drills import Drill
    from sgputt.practice_intake import PracticeIntake

_MOST_SAID = 50
_ROWS_SAID_IN_CHARACTERS = 200


def write_card(
    shared: Shared,
    layout: Layout,
    course: str | None,
    date: dt.date | None,
    holes: int,
    paper: bool,
    out: Path | None,
) -> None:
    """Write a blank card: CSV, a page for a phone, or paper."""
    is_page = out is not None and out.suffix.lower() in PAGES
    if paper and out is not None and not is_page:
        endings = " or ".join(PAGES)
        raise click.UsageError(f"--paper writes a page: give --out a name in {endings}.")
    begun = (shared.player, course, date, holes)
    if paper or is_page:
        from sgputt_reports.card import card_page, paper_card

        text = paper_card(*begun) if paper else card_page(*begun)
    else:
        text = blank_card(layout, *begun)
    if out is None:
        write_out(text.encode("utf-8", "replace"))
    else:
        write_file(out, text)


def check_cards(shared: Shared, files: tuple[Path, ...], values: dict[str, Any]) -> None:
    """Say what reading the files found; status 1 where that is a problem or a question."""
    options = _card_options(shared.player, values)
    readings = _read(shared, files, options)
    rounds: list[dict[str, Any]] = [
        {
            "file": name_of(path),
            "player": one.player,
            "date": str(one.date),
            "round": one.round,
            "course": one.course,
            "holes": one.holes.height,
            "putts": one.putts.height,
        }
        for path, reading in zip(files, readings, strict=True)
        for one in reading.rounds
    ]
    problems = [problem for reading in readings for problem in reading.problems]
    notes = [note for reading in readings for note in reading.notes]
    if shared.as_json:
        found = [problem.as_dict() for problem in problems]
        write_json({"rounds": rounds, "problems": found, "notes": notes})
    else:
        _say_problems(problems, notes)
        for one in rounds:
            file = " ".join(str(one["file"]).split())
            holes, putts = plural(one["holes"], "hole"), plural(one["putts"], "putt")
            say(
                f"{file}: {one['player']}, {one['date']}, {one['course']}, round "
                f"{one['round']}: {holes} and {putts} read"
            )
        asked = sum(problem.question for problem in problems)
        told = [
            plural(count, word)
            for count, word in ((len(problems) - asked, "problem"), (asked, "question"))
            if count
        ]
        say(f"{' and '.join(told)}." if told else "No problems.")
    raise click.exceptions.Exit(1 if problems else 0)


def _read(shared: Shared, files: tuple[Path, ...], options: CardOptions) -> list[Reading]:
    """Read as import would, with the settings of the archive where there is one."""
    if not has_archive(shared):
        return [read_scorecard(path, options=options) for path in files]
    with open_archive(shared) as archive:
        usual = with_settings(options, archive)
        return [read_scorecard(path, options=usual) for path in files]


def import_cards(
    shared: Shared,
    files: tuple[Path, ...],
    replace: bool,
    keep_good_holes: bool,
    values: dict[str, Any],
) -> None:
    """Store what the files hold, and say what became of every row; status 1 after a problem."""
    options = _card_options(shared.player, values)
    named, others = _all_files(files)
    taken: list[_Taken] = []
    with open_archive(shared, make=True) as archive:
        try:
            for path, name, in_folder in tracked(named, "Importing"):
                intake = take_in_any(path, archive, options, _drills, replace, keep_good_holes)
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


def _drills() -> tuple[Drill, ...]:
    """The drills that a practice log may name: a card needs none of what they load."""
    from sgputt.practice.drills import load_drills

    return load_drills(own_file(None))


def _card_options(player: str | None, values: dict[str, Any]) -> CardOptions:
    """Reader's options from the values of the command's options."""
    date: dt.date | None = values.pop("date")
    missing: Any = (values.pop("missing") or "").replace("-", " ") or None
    return CardOptions(
        player=player,
        date=date,
        round=values.pop("round_number"),
        missing=missing,
        **values,
    )


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


def _all_files(files: tuple[Path, ...]) -> tuple[list[tuple[Path, str, bool]], list[str]]:
    """Files to read, as they are named and whether in a folder; and others of the folders."""
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
            "notes": [note for each in logs for note in each.notes],
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


def _say_all(archive: Archive, taken: list[_Taken], left: list[str]) -> None:
    known = {row["round_id"]: row for row in archive.rounds().iter_rows(named=True)}
    for each in taken:
        if each.intake.kind == "practice":
            _say_practice(each.name, each.intake, quiet=each.in_folder)
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
    _say_problems(intake.problems, intake.notes)
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
                f"{plural(row['holes'], 'hole')}, {plural(row['putts'], 'putt')}."
            )
    if intake.rejects is not None:
        write_line(f"Rows not stored are in {intake.rejects}.", err=True)
    if intake.problems:
        write_line(_account(name, intake), err=True)


def _account(name: str, intake: Intake) -> str:
    rows = intake.rows
    if rows is None:
        return f"{name}: nothing was stored."
    parts = [f"{len(rows.stored)} stored"] if rows.stored else []
    if rows.without_putts:
        parts.append(f"{len(rows.without_putts)} without putts")
    if rows.not_stored:
        which = shown(numbered(rows.not_stored, "row"), _ROWS_SAID_IN_CHARACTERS)
        parts.append(f"{len(rows.not_stored)} not stored ({which})")
    nothing = "" if rows.stored else "nothing was stored. "
    return f"{name}: {nothing}{plural(rows.read, 'row')}: {', '.join(parts)}."


def _say_practice(name: str, intake: PracticeIntake, quiet: bool) -> None:
    for note in intake.notes:
        write_line(f"Note: {note}", err=True)
    for problem in intake.problems:
        write_line(f"Problem: {problem}", err=True)
    if intake.problems:
        write_line(f"{name}: nothing was stored.", err=True)
    elif intake.added.stored:
        say(f"Stored {plural(len(intake.added.stored), 'set')} of practice from {name}.")
        if intake.notes:
            say("A slip of the pen? Take it back: sgputt drills undo")
    there = intake.added.unchanged
    if there and not quiet:
        say(f"Unchanged: {plural(there, 'set')} of practice from {name}, stored before.")


def _say_problems(problems: Sequence[Problem], notes: Sequence[str]) -> None:
    """Write notes, problems and questions to stderr, one a line; of very many the first."""
    for note in notes:
        write_line(f"Note: {note}", err=True)
    for problem in problems[:_MOST_SAID]:
        write_line(f"{'Question' if problem.question else 'Problem'}: {problem}", err=True)
    more = len(problems) - _MOST_SAID
    if more > 0:
        write_line(f"And {plural(more, 'more problem')}: all of them with --json.", err=True)

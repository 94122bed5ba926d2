"""From a scorecard file to the archive: what is clean is stored, what is not is said."""

from __future__ import annotations

import csv
import dataclasses
import datetime as dt
import io
import json
import os
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from sgputt.archive.rounds import Card, Facts, Round
from sgputt.archive.store import Archive, Conflict, Stored
from sgputt.files import write_beside
from sgputt.putts.units import UNITS
from sgputt.safe_text import guard, name_key
from sgputt.scorecard import CardOptions, Problem, Reading, RoundReading, Row, read_scorecard
from sgputt.scorecard.card import usual_unit
from sgputt.scorecard.cells import DateOrder
from sgputt.scorecard.files import bytes_of, name_of
from sgputt.scorecard.problem import FileError

if TYPE_CHECKING:
    from sgputt.practice.drills import Drill
    from sgputt.practice_intake import PracticeIntake

# The clock may have been wrong when the card was imported, or be wrong now.
_LATE = dt.date(9000, 1, 1)
_TAKEN = (".csv", ".tsv", ".txt", ".xlsx")
# What is kept of the options with a round, beside the date, and of which kind each is.
_KEPT_ANSWERS: dict[str, type | tuple[type, ...]] = {
    **dict.fromkeys(("player", "course", "event", "unit", "date_order", "sheet", "missing"), str),
    **dict.fromkeys(("pace_ft", "stimp_ft"), (int, float)),
    "round": int,
    "as_written": bool,
}
# What is written beside a card that has problems.
_OURS = re.compile(r"\.rejected(-\d+)?\.csv$", re.IGNORECASE)


@dataclass(frozen=True)
class Rows:
    """What became of the rows of a card that hold anything, by their numbers in the file.

    Attributes
    ----------
    stored : tuple of int
        Rows whose putts are in the archive, now or before.
    without_putts : tuple of int
        Header, totals, holes not played.
    not_stored : tuple of int
        All others.
    """

    stored: tuple[int, ...]
    without_putts: tuple[int, ...]
    not_stored: tuple[int, ...]

    @property
    def read(self) -> int:
        """How many there are."""
        return len(self.stored) + len(self.without_putts) + len(self.not_stored)


@dataclass
class Intake:
    """What became of one scorecard.

    Attributes
    ----------
    stored : Stored
        Ids of rounds by outcome.
    problems : list of Problem
        Everything wrong with the file; a round touched by one is not stored.
    notes : list of str
        What was assumed.
    rows : Rows or None
        What became of every row; None where the file could not be taken apart.
    rejects : Path or None
        File beside the scorecard with the rows that were not stored, when good holes were kept.
    is_card : bool
        Whether anything in the file is of a round.
    """

    kind: Literal["card"] = "card"
    stored: Stored = field(default_factory=Stored)
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    rows: Rows | None = None
    rejects: Path | None = None
    is_card: bool = False


def take_in(
    path: Path,
    archive: Archive,
    options: CardOptions,
    replace: bool = False,
    keep_good_holes: bool = False,
) -> Intake:
    """Read a scorecard and store its clean rounds, with the file itself, in one transaction.

    Parameters
    ----------
    path : Path
        The scorecard.
    archive : Archive
    options : CardOptions
        What the card does not say itself.
    replace : bool
        Overwrite stored rounds whose content differs.
    keep_good_holes : bool
        Store the good holes of a round with problems too; the other rows are written beside the
        scorecard, in ``NAME.rejected.csv``, or ``NAME.rejected-2.csv`` where that one is another.
    """
    name = name_of(path)
    try:
        content = bytes_of(path)
    except FileError as exc:
        return Intake(problems=[exc.as_problem(name)])
    said = with_settings(options, archive)
    reading = read_scorecard(content, name, said)
    intake = Intake(problems=list(reading.problems), notes=list(reading.notes))
    intake.is_card = bool(reading.rounds)
    rounds = rounds_to_store(reading, keep_good_holes)
    if not rounds:
        intake.rows = _rows(reading, [])
        return intake

    def write_rejects(stored: Stored) -> None:
        """What is not stored is beside the card before anything is stored."""
        refused = {_key(each): each for each in stored.conflicts}
        why = {
            row: str(_conflict(name, refused[_key(one)]))
            for one in rounds
            if _key(one) in refused
            for row in one.good_rows
        }
        if keep_good_holes and (reading.problems or why):
            intake.rejects = _write_rejects(path, reading, why)

    intake.stored = archive.store(
        [Round(one.putts, one.holes, _said(said, one.player)) for one in rounds],
        name,
        content,
        replace,
        write_rejects,
    )
    intake.problems += [_conflict(name, each) for each in intake.stored.conflicts]
    refused = {_key(each) for each in intake.stored.conflicts}
    kept = [one for one in rounds if _key(one) not in refused]
    intake.rows = _rows(reading, kept)
    intake.notes += _remember_unit(archive, options, [one.player for one in kept])
    return intake


def with_settings(options: CardOptions, archive: Archive) -> CardOptions:
    """Options of a card, with the player set, and how each player writes lengths and putts."""
    return dataclasses.replace(
        options,
        usual_player=archive.settings().player,
        usual_unit=lambda player: archive.settings(player).unit,
        handed=lambda player: archive.settings(player).handed,
    )


def _remember_unit(archive: Archive, options: CardOptions, players: list[str]) -> list[str]:
    """Keep the unit that was said with a card, for the player's next ones; in words."""
    said = []
    for player in dict.fromkeys(players):
        if options.unit is not None and archive.settings(player).unit != options.unit:
            archive.change_settings(unit=options.unit, whose=player)
            said.append(
                f"from now on lengths of {player} that say no unit are read in {options.unit}; "
                "to change that: sgputt settings"
            )
    return said


def files_in(folder: Path) -> tuple[list[Path], list[Path]]:
    """Files in a folder, at any depth: those that may be cards or practice logs, and the others.

    Hidden files and folders, links to folders, and what sgputt wrote beside a card are passed over.
    """
    cards: list[Path] = []
    others: list[Path] = []
    for place, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if name.startswith((".", "~$")) or _OURS.search(name):
                continue
            path = Path(place) / name
            (cards if path.suffix.casefold() in _TAKEN else others).append(path)
    return cards, others


def take_in_any(
    path: Path,
    archive: Archive,
    options: CardOptions,
    drills: Callable[[], Sequence[Drill]],
    replace: bool = False,
    keep_good_holes: bool = False,
) -> Intake | PracticeIntake:
    """Store what a file holds, be it a scorecard or a practice log.

    Parameters
    ----------
    path, archive, options, replace, keep_good_holes
        As in :func:`take_in`.
    drills : callable
        Gives the drills that a practice log may name; called for one only.
    """
    try:
        says_drill = b"drill" in bytes_of(path).replace(b"\0", b"").lower()
    except FileError:
        says_drill = False
    if says_drill or path.suffix.casefold() == ".xlsx":
        # The fit of a player's stroke is loaded for practice alone.
        from sgputt.practice_intake import is_practice, take_in_practice  # noqa: PLC0415

        if is_practice(path):
            return take_in_practice(path, archive, drills(), options.player, options.date_order)
    return take_in(path, archive, options, replace, keep_good_holes)


def read_again(card: Card, facts: Facts | None) -> Iterator[Round]:
    """Rounds of a scorecard from the archive, in every way it may have been read when imported.

    First with what was said beside it then. Of older archives that is not kept, so units and the
    order of dates are tried in turn; the caller knows the right one by its fingerprint. Without
    facts the card is read as it stands, and only a card without a problem gives rounds.
    """
    guesses = [
        # What was stored once is asked about no more.
        CardOptions(unit=unit, date_order=order, as_written=True, today=_LATE)
        for unit, order in product((None, *UNITS), (None, *get_args(DateOrder)))
    ]
    answered = _answered(card.answers)
    ways = guesses if answered is None else [answered, *guesses]
    for way in ways[:1] if facts is None else ways:
        options = way
        if facts is not None:
            options = replace(
                way,
                player=facts.player,
                course=facts.course,
                event=facts.event,
                date=facts.date,
                round=facts.round,
            )
        reading = read_scorecard(card.content, card.name, options)
        if facts is None and reading.problems:
            return
        yield from (
            Round(one.putts, one.holes, card.answers) for one in rounds_to_store(reading, True)
        )


def _said(options: CardOptions, player: str) -> str:
    """What was said beside a card, the settings of the round's player too, as JSON."""
    said: dict[str, object] = {name: getattr(options, name) for name in _KEPT_ANSWERS}
    said["date"] = options.date.isoformat() if options.date else None
    said["player"] = options.player or options.usual_player
    said["usual_unit"] = usual_unit(options, player)
    said["handed"] = options.handed(player) if options.handed else None
    return json.dumps({name: value for name, value in said.items() if value is not None})


def _answered(answers: str | None) -> CardOptions | None:
    """Options that were kept with a round; None where there are none, or none that make sense."""
    try:
        said = json.loads(answers or "")
        unit, hand = said.get("usual_unit"), said.get("handed")
        date = dt.date.fromisoformat(said["date"]) if "date" in said else None
        given = {
            name: said[name]
            for name, kind in _KEPT_ANSWERS.items()
            if isinstance(said.get(name), kind)
        }
    except (ValueError, TypeError, AttributeError, RecursionError):
        return None
    return CardOptions(
        **given, date=date, usual_unit=lambda _: unit, handed=lambda _: hand, today=_LATE
    )


def rounds_to_store(reading: Reading, keep_good_holes: bool) -> list[RoundReading]:
    """Rounds to store; none of a file with a row that cannot be given to a round."""
    if keep_good_holes:
        return [one for one in reading.rounds if not one.holes.is_empty()]
    astray = set(reading.problems) - {each for one in reading.rounds for each in one.problems}
    if astray or reading.rejected_rows:
        return []
    return [one for one in reading.rounds if not one.problems and not one.holes.is_empty()]


def _key(one: RoundReading | Conflict) -> tuple[str, dt.date, int]:
    return name_key(one.player), one.date, one.round


def _rows(reading: Reading, stored: list[RoundReading]) -> Rows | None:
    read = [row.number for row in reading.rejected_rows] + reading.skipped_rows
    for one in reading.rounds:
        read += [*one.rows, *(row.number for row in one.rejected_rows)]
    # In a workbook of several sheets a number may come up on each.
    kept = Counter(number for one in stored for number in one.rows)
    others = Counter(read) - kept - Counter(reading.skipped_rows)
    if not read:
        return None
    return Rows(
        tuple(sorted(kept.elements())),
        tuple(reading.skipped_rows),
        tuple(sorted(others.elements())),
    )


def _write_rejects(path: Path, reading: Reading, why: Mapping[Row, str]) -> Path:
    """Rows that are not stored, the good ones of a refused round too, each with the reason."""
    rows: list[Row] = [*reading.rejected_rows, *why]
    for one in reading.rounds:
        rows += one.rejected_rows
    said = {(row.sheet, row.number): [text] for row, text in why.items()}
    for problem in reading.problems:
        words = str(problem)
        for place in {(place.sheet, place.row or 0) for place in problem.everywhere}:
            said.setdefault(place, []).append(words)
    text = io.StringIO()
    # With a line end of \n alone a cell that holds \r would not be quoted.
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(["row", "problem", *map(guard, reading.header_cells)])
    for row in sorted(rows, key=lambda each: each.number):
        reason = " ".join(said.get((row.sheet, row.number), ()))
        number = row.number if row.sheet is None else f"{row.sheet} {row.number}"
        writer.writerow([number, guard(reason), *map(guard, row.cells)])
    return write_beside(path, "rejected.csv", text.getvalue().encode("utf-8", "replace"))


def _conflict(file: str, conflict: Conflict) -> Problem:
    which = f"{conflict.player}, {conflict.date}, round {conflict.round}"
    return Problem(
        file=file,
        row=None,
        column=None,
        value=which,
        allowed="a round not stored yet, or one with the same content",
        hint="To overwrite it add --replace; if it is another round of that day, number it "
        "in a column 'round'.",
        what=f"{which} is stored already as round {conflict.round_id}, with other content",
    )

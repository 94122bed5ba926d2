"""What is wrong with a scorecard, or may be read in two ways, said so that it can be settled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sgputt.safe_text import shown

_SAID_CHARACTERS = 400
_PLACES_SAID = 6


class Place(NamedTuple):
    """Where something stands: row as an editor counts, header as written, what stands there."""

    row: int | None
    column: str | None
    value: str
    sheet: str | None = None


# A question may have very many places: two are the same only where they are one.
@dataclass(frozen=True, eq=False)
class Problem:
    """One thing wrong with a scorecard, or one question about it.

    Parameters
    ----------
    file : str
        Name of the file.
    row : int or None
        Line of the file as an editor counts (sheet row in a workbook); None: the whole file.
    column : str or None
        Header of the column as written; None where no one column is to blame.
    value : str
        What stood there; empty where nothing did.
    allowed : str
        What may stand there.
    hint : str
        What to type next.
    what : str
        The fault in words. Empty: "'value' is not allowed".
    sheet : str or None
        Sheet of a workbook that has several.
    places : tuple of Place
        Every place that it concerns, where there may be more than the one above.
    question : bool
        Whether what stands there can be read in two ways, or can hardly be true: it is stored once
        that is settled.
    """

    file: str
    row: int | None
    column: str | None
    value: str
    allowed: str
    hint: str
    what: str = ""
    sheet: str | None = None
    places: tuple[Place, ...] = ()
    question: bool = False

    @property
    def everywhere(self) -> tuple[Place, ...]:
        """Every place that it concerns."""
        return self.places or (Place(self.row, self.column, self.value, self.sheet),)

    def __str__(self) -> str:
        """One readable message: where, what, and what to type next."""
        where = shown(self.file)
        if self.sheet is not None:
            where += f", sheet '{shown(self.sheet)}'"
        rows = list(dict.fromkeys(place.row for place in self.places if place.row is not None))
        if len(rows) > 1:
            said = ", ".join(map(str, rows[:_PLACES_SAID]))
            more = len(rows) - _PLACES_SAID
            where += f", rows {said}" + (f" and {more} more" if more > 0 else "")
        elif self.row is not None:
            where += f", row {self.row}"
        if self.column is not None:
            where += f", column '{shown(self.column)}'"
        what = shown(self.what, _SAID_CHARACTERS)
        what = what or f"'{shown(self.value)}' is not {self.allowed}"
        stop = "" if what.endswith("?") else "."
        return f"{where}: {what}{stop} {shown(self.hint, _SAID_CHARACTERS)}".rstrip()

    def as_dict(self) -> dict[str, object]:
        """Keys ``file, row, column, value, allowed, hint``.

        Where there is one, ``sheet``; of a question ``question`` (true) and ``places``, each with
        ``row, column, value``.
        """
        parts: dict[str, object] = {
            name: getattr(self, name)
            for name in ("file", "row", "column", "value", "allowed", "hint")
        }
        if self.sheet is not None:
            parts["sheet"] = self.sheet
        if self.places:
            parts["places"] = [
                {"row": place.row, "column": place.column, "value": place.value}
                for place in self.places
            ]
        if self.question:
            parts["question"] = True
        return parts


class FileError(Exception):
    """A file that cannot be read at all, or not beyond one row."""

    def __init__(self, what: str, allowed: str, hint: str, row: int | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.allowed = allowed
        self.hint = hint
        self.row = row

    def as_problem(self, file: str) -> Problem:
        """Say it of a file."""
        return Problem(file, self.row, None, "", self.allowed, self.hint, self.what)


@dataclass
class Ledger:
    """Problems, questions and notes of one file, gathered while it is read."""

    file: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    _said: set[str] = field(default_factory=set)

    def add(self, place: Place, allowed: str, hint: str, what: str = "") -> None:
        """Write a problem down."""
        row, column, value, sheet = place
        self.problems.append(
            Problem(self.file, row, column, value, allowed, hint, what, sheet=sheet)
        )

    def ask(
        self,
        places: Sequence[Place],
        allowed: str,
        hint: str,
        what: str,
        *,
        question: bool = True,
    ) -> None:
        """Write down one question, or one problem, with every place that it concerns."""
        row, column, value, sheet = places[0]
        columns = {place.column for place in places}
        self.problems.append(
            Problem(
                self.file,
                row,
                column if len(columns) == 1 else None,
                value,
                allowed,
                hint,
                what,
                sheet,
                tuple(places),
                question,
            )
        )

    def note(self, text: str) -> None:
        """Write down, once, something that was assumed."""
        if text not in self._said:
            self._said.add(text)
            self.notes.append(text)


def numbered(numbers: Iterable[int], noun: str) -> str:
    """Name ``holes 4, 10-18``."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}-{r[-1]}" for r in runs)
    one = len(runs) == 1 and len(runs[0]) == 1
    return f"{noun}{'' if one else 's'} {said}"

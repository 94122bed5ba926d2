"""What is wrong with a scorecard, said so that its writer can put it right."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field

from sgputt.safe_text import shown

_SAID_CHARACTERS = 400


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a scorecard.

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
    """

    file: str
    row: int | None
    column: str | None
    value: str
    allowed: str
    hint: str
    what: str = ""

    def __str__(self) -> str:
        """One readable message: where, what, and what to type next."""
        where = shown(self.file)
        if self.row is not None:
            where += f", row {self.row}"
        if self.column is not None:
            where += f", column '{shown(self.column)}'"
        what = shown(self.what, _SAID_CHARACTERS)
        what = what or f"'{shown(self.value)}' is not {self.allowed}"
        return f"{where}: {what}. {shown(self.hint, _SAID_CHARACTERS)}".rstrip()

    def as_dict(self) -> dict[str, str | int | None]:
        """Keys ``file, row, column, value, allowed, hint``."""
        parts = asdict(self)
        del parts["what"]
        return parts


class CellError(Exception):
    """A cell that cannot be read; becomes a Problem where row and column are known."""

    def __init__(self, allowed: str, hint: str, what: str = "") -> None:
        super().__init__(what or allowed)
        self.allowed = allowed
        self.hint = hint
        self.what = what


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
    """Problems and notes of one file, gathered while it is read."""

    file: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    _said: set[str] = field(default_factory=set)

    def add(
        self,
        row: int | None,
        column: str | None,
        value: str,
        allowed: str,
        hint: str,
        *,
        what: str = "",
    ) -> None:
        """Write a problem down."""
        self.problems.append(Problem(self.file, row, column, value, allowed, hint, what))

    def note(self, text: str) -> None:
        """Write down, once, something that was assumed."""
        if text not in self._said:
            self._said.add(text)
            self.notes.append(text)

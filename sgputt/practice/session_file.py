"""Many sets of drills from the rows of a file, with every problem noted and none raised."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace

from sgputt.naming import UnknownNameError, find_named
from sgputt.practice.drills import Drill
from sgputt.practice.session import Session, SessionFault, complete, faults
from sgputt.safe_text import clean, shown

COLUMNS = ("date", "drill", "balls", "successes", "restarts", "minutes", "note", "player")
NEEDED = ("date", "drill", "balls")
_OTHER_WORDS = {
    "day": "date",
    "drill_id": "drill",
    "name": "player",
    "putts": "balls",
    "tries": "balls",
    "made": "successes",
    "makes": "successes",
    "holed": "successes",
    "success": "successes",
    "notes": "note",
    "comment": "note",
    "minute": "minutes",
    "min": "minutes",
    "time": "minutes",
    "restart": "restarts",
}
_WHOLE = re.compile(r"\d{1,6}")
_DECIMAL = re.compile(r"\d{1,4}([.,]\d{1,3})?")
HEADER_HINT = (
    "The first row names the columns: date, drill, balls, successes, restarts, minutes, note."
)

DateReader = Callable[[str], dt.date]


@dataclass(frozen=True)
class SessionProblem:
    """One thing wrong with a file of practice; ``row`` counts as an editor does.

    ``what`` is the fault in words where no one value is to blame.
    """

    file: str
    row: int | None
    column: str | None
    value: str
    allowed: str
    hint: str
    what: str = ""

    def __str__(self) -> str:
        """One readable message: where, what stood there, what may, what to type next."""
        where = shown(self.file)
        where += "" if self.row is None else f", row {self.row}"
        where += "" if self.column is None else f", column '{shown(self.column)}'"
        stood = f"'{shown(self.value)}'" if self.value else "nothing"
        what = self.what or f"{stood} stands there; allowed: {self.allowed}"
        return f"{where}: {what}. {self.hint}".rstrip()

    def as_dict(self) -> dict[str, str | int | None]:
        """Keys ``file, row, column, value, allowed, hint``."""
        parts = asdict(self)
        del parts["what"]
        return parts


class DateError(ValueError):
    """A date that cannot be read; raised by the reader of dates that is handed in."""

    def __init__(self, allowed: str, hint: str) -> None:
        super().__init__(allowed)
        self.allowed = allowed
        self.hint = hint


@dataclass
class SessionReading:
    """What a file held. With a problem the sessions are not to be stored."""

    sessions: list[Session] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    problems: list[SessionProblem] = field(default_factory=list)


def read_sessions(
    rows: Sequence[tuple[int, Sequence[str]]],
    file: str,
    drills: Mapping[str, Drill],
    read_date: DateReader,
    today: dt.date,
    player: str | None = None,
) -> SessionReading:
    """Read sets of drills.

    The first row names the columns, in any order: ``date, drill, balls, successes``, and where
    there are any ``restarts, minutes, note, player``. An empty date or player is the one above.

    Parameters
    ----------
    rows : sequence of (int, sequence of str)
        Row numbers and cells as written.
    file : str
        Name of the file in problems.
    drills : mapping of str to Drill
        By id.
    read_date : callable
        Reads a date as written; raises :class:`DateError`.
    today : datetime.date
    player : str, optional
        For rows without one.
    """
    reading = SessionReading()
    if not rows:
        reading.problems.append(
            SessionProblem(file, None, None, "", "a row a set", HEADER_HINT),
        )
        return reading
    columns = _header(rows[0], file, reading)
    if reading.problems:
        return reading
    reader = _RowReader(file, columns, drills, read_date, today, player, reading)
    for number, cells in rows[1:]:
        reader.read(number, cells)
    return reading


def column_of(rows: Sequence[tuple[int, Sequence[str]]], name: str) -> int | None:
    """Where a column of :data:`COLUMNS` stands by the first row; None where it has none."""
    cells = rows[0][1] if rows else ()
    return next((at for at, cell in enumerate(cells) if _named(cell) == name), None)


def _named(cell: str) -> str:
    word = re.sub(r"[^a-z]+", "_", cell.casefold()).strip("_")
    return _OTHER_WORDS.get(word, word)


def _header(row: tuple[int, Sequence[str]], file: str, reading: SessionReading) -> dict[str, int]:
    number, cells = row
    columns: dict[str, int] = {}
    for at, cell in enumerate(cells):
        name = _named(cell)
        if name in COLUMNS and name not in columns:
            columns[name] = at
        elif cell.strip():
            near = difflib.get_close_matches(name, COLUMNS, n=1)
            hint = f"Did you mean '{near[0]}'?" if near else "Rename or take out the column."
            twice = "a column that stands there once" if name in columns else ", ".join(COLUMNS)
            problem = SessionProblem(file, number, cell.strip(), cell.strip(), twice, hint)
            reading.problems.append(problem)
    for name in NEEDED:
        if name not in columns:
            problem = SessionProblem(file, number, name, "", f"a column '{name}'", HEADER_HINT)
            reading.problems.append(problem)
    return columns


class _RowReader:
    """Reads row by row; remembers date and player for the rows below."""

    def __init__(
        self,
        file: str,
        columns: dict[str, int],
        drills: Mapping[str, Drill],
        read_date: DateReader,
        today: dt.date,
        player: str | None,
        reading: SessionReading,
    ) -> None:
        self.file, self.columns, self.drills = file, columns, drills
        self.read_date, self.today = read_date, today
        self.reading = reading
        self.above: dict[str, str] = {"player": player or ""}

    def read(self, number: int, cells: Sequence[str]) -> None:
        """Read one row: a session, or problems."""
        words = {
            name: cells[at].strip() if at < len(cells) else "" for name, at in self.columns.items()
        }
        for name in ("date", "player"):
            words[name] = self.above[name] = words.get(name, "") or self.above.get(name, "")
        before = len(self.reading.problems)
        session, drill = self._session(number, words)
        if drill is not None:
            said = {problem.column for problem in self.reading.problems[before:]}
            session = complete(session, drill)
            for fault in faults(session, drill.longest(), self.today):
                if fault.column not in said:
                    self._note(number, fault)
        if len(self.reading.problems) == before:
            self.reading.sessions.append(session)
            self.reading.rows.append(number)

    def _session(self, number: int, words: dict[str, str]) -> tuple[Session, Drill | None]:
        drill = self._drill(number, words["drill"])
        if not words["player"]:
            hint = "Write whose practice it is, or give it for the file with --player."
            self._note(number, SessionFault("player", "", "a player's name", hint))
        session = Session(
            player=clean(words["player"]),
            date=self._date(number, words["date"]),
            drill=words["drill"],
            balls=self._whole(number, "balls", words),
            successes=self._whole(number, "successes", words),
            restarts=self._whole(number, "restarts", words),
            minutes=self._minutes(number, words),
            note=clean(words.get("note", "")),
        )
        return (replace(session, drill=drill.id) if drill else session), drill

    def _drill(self, number: int, word: str) -> Drill | None:
        names = {each.name: each.id for each in self.drills.values()}
        try:
            return self.drills[
                find_named(
                    word,
                    names | {name: name for name in self.drills},
                    "drill",
                    see="sgputt drills",
                    parts=False,
                )
            ]
        except UnknownNameError as exc:
            self._note(number, SessionFault("drill", word, "the name of a drill", exc.hint))
            return None

    def _date(self, number: int, word: str) -> dt.date:
        try:
            return self.read_date(word)
        except DateError as exc:
            self._note(number, SessionFault("date", word, exc.allowed, exc.hint))
            return self.today

    def _whole(self, number: int, name: str, words: dict[str, str]) -> int | None:
        word = words.get(name, "")
        if not word:
            return None
        if not _WHOLE.fullmatch(word):
            self._note(
                number, SessionFault(name, word, "a whole number", f"Write the {name} in digits.")
            )
            return None
        return int(word)

    def _minutes(self, number: int, words: dict[str, str]) -> float | None:
        word = words.get("minutes", "")
        if not word:
            return None
        if not _DECIMAL.fullmatch(word):
            hint = "Write how long it took (12 or 12.5), or leave it out."
            self._note(number, SessionFault("minutes", word, "minutes", hint))
            return None
        return float(word.replace(",", "."))

    def _note(self, number: int, fault: SessionFault) -> None:
        column = fault.column if fault.column in self.columns else None
        self.reading.problems.append(
            SessionProblem(self.file, number, column, fault.value, fault.allowed, fault.hint)
        )

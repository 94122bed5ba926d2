"""A scorecard file to rounds: its lines by round and hole, and what was wrong with them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Literal

import polars as pl

from sgputt.putts.columns import BY_KEY, COLUMN, IN_TABLE, LAST_REGULAR
from sgputt.putts.rules import ORDER, find_faults
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.safe_text import name_key, shown
from sgputt.scorecard.card import (
    UNKNOWN,
    CardOptions,
    Carried,
    Meta,
    Reading,
    RoundReading,
    check_options,
)
from sgputt.scorecard.cells import DateReader, Line
from sgputt.scorecard.files import Row, Sheet, name_of, read_sheets
from sgputt.scorecard.holes import HoleEntry, HoleReader, PuttEntry, ask_about_numbered, finish
from sgputt.scorecard.layouts import Sheetful, Titles, all_titles, has_a_card, lay_out
from sgputt.scorecard.problem import FileError, Ledger, Place, Problem, numbered
from sgputt.scorecard.questions import ask

MAX_ROUNDS = 2_000
# Rows of one round: 36 holes of 20 putts each are fewer.
MAX_LINES = 1_000
# More holes that stand twice are two rounds.
_TWICE_IS_A_ROUND = 3
_DECIMAL_COMMA = (
    'A decimal comma needs quotes ("12,5") or a point (12.5) where commas part the cells; '
    "delete separators at the end of a row."
)
_GAP_HINT = (
    "Add its row: putts 0 if it was chipped in, result 'picked up' if the ball was lifted; "
    "or leave the row blank beside its hole number if it was not played. "
    "For all such holes: --missing chipped-in, or --missing not-played."
)
_NO_OPTIONS = CardOptions()
_DEFAULTS = {column.name: column.default for column in IN_TABLE if column.default is not None}
_OF_A_ROW = [name for name in PUTTS_SCHEMA if name != "source"]
_RULED = (
    *("hole", "putt", "distance_ft", "leave_ft", "result", "miss_pace", "miss_side", "cause"),
    "source_row",
)


@dataclass
class RoundEntry:
    """Lines of one player, date and round.

    ``blank`` lines name a hole that was not played; ``loose`` lines cannot be given to a hole.
    """

    meta: Meta
    holes: list[HoleEntry] = field(default_factory=list)
    blank: list[tuple[int, Line]] = field(default_factory=list)
    loose: list[Line] = field(default_factory=list)
    count: int = 0

    @property
    def written(self) -> list[Line]:
        """Lines with something to read in them."""
        return [*(line for hole in self.holes for line in hole.lines), *self.loose]

    @property
    def lines(self) -> list[Line]:
        """All lines of the round."""
        return [*self.written, *(line for _, line in self.blank)]


class CardReader:
    """A card while it is read: what stands on its sheets, in their order."""

    def __init__(self, ledger: Ledger, options: CardOptions) -> None:
        self._ledger = ledger
        self._options = options
        self._holes = HoleReader(options)
        self._rounds: dict[Hashable, RoundEntry] = {}
        self._skipped: list[Row] = []
        self._lost: list[Row] = []
        self._headers: list[tuple[tuple[str, ...], dict[str, int]]] = []
        self._spellings: dict[str, str] = {}
        self._remarks: set[int] = set()
        self._hole_above: int | None = None
        self._sheets: list[str | None] = []

    def read(self, sheets: Sequence[Sheetful], today: dt.date) -> None:
        """Read all lines, then check what only shows between them."""
        items = [item for sheet in sheets for item in sheet.items]
        written = [item.text("date") for item in items if isinstance(item, Line)]
        written += [value for name, value in all_titles(items) if name == "date"]
        dates = DateReader(written, self._options.date_order, today)
        carried = Carried(self._options, dates, self._ledger)
        for sheet in sheets:
            self._skipped += sheet.skipped
            self._lost += sheet.lost
            for header in sheet.headers:
                columns = {key: at.index for key, at in header.columns.items()}
                self._headers.append((header.row.cells, columns))
        for item in items:
            if isinstance(item, Titles):
                carried.title(item)
            elif len(self._rounds) <= MAX_ROUNDS:
                self._read_line(item, carried)
            else:
                self._lost += item.rows
        if len(self._rounds) > MAX_ROUNDS:
            what = f"the file holds more than {MAX_ROUNDS:,} rounds"
            hint = "Split it into several files, one a season for instance."
            self._ledger.add(Place(None, None, ""), f"at most {MAX_ROUNDS:,} rounds", hint, what)
            self._lost += [row for e in self._rounds.values() for row in _rows_of(e.lines)]
            self._rounds = {}
        self._check()
        self._note_assumptions()

    def _check(self) -> None:
        entries = list(self._rounds.values())
        for entry in entries:
            self._ask_about_numbered(entry)
            for hole in entry.holes:
                if hole.lines[0].header.layout == "putts":
                    finish(hole)
        if self._holes.bare_breaks:
            self._ledger.ask(
                self._holes.bare_breaks,
                COLUMN["break"].allowed,
                "Call the column 'break to' if they say where the ball turns to, 'break from' if "
                "they say where it comes from; or write L-R and R-L.",
                "a bare left or right may be where the ball turns to, or where it comes from",
            )
        _hold_rules(entries)
        for entry in entries:
            check_round(entry, self._ledger)
        _spoil_across(entries)
        ask(entries, self._options, self._ledger)
        _spoil_across(entries)

    def reading(self) -> Reading:
        """Tables, problems and notes of what was read."""
        problems = self._ledger.problems
        if not problems and not any(entry.holes for entry in self._rounds.values()):
            hint = "Write at least the number of putts and the first length of one hole."
            what = "nothing was played"
            self._ledger.add(Place(None, None, ""), "a hole with putts", hint, what)
        sheets = {name: at for at, name in enumerate(dict.fromkeys(self._all_sheets()))}
        problems.sort(key=lambda problem: (sheets.get(problem.sheet, 0), problem.row or 0))
        keyed = [entry for entry in self._rounds.values() if entry.meta.key is not None]
        keyless = [entry for entry in self._rounds.values() if entry.meta.key is None]
        good = [[hole for hole in entry.holes if not hole.bad] for entry in keyed]
        putts = putts_table((hole for holes in good for hole in holes), self._ledger.file)
        holes = holes_table(hole for each in good for hole in each)
        touched = _by_row(problems)
        rounds, at, hole_at = [], 0, 0
        for entry, kept in zip(keyed, good, strict=True):
            count = sum(len(hole.putts) for hole in kept)
            if entry.holes or entry.loose:
                tables = putts.slice(at, count), holes.slice(hole_at, len(kept))
                rounds.append(self._round_reading(entry, kept, *tables, touched))
            at, hole_at = at + count, hole_at + len(kept)
        header = self._headers[0] if self._headers else ((), {})
        return Reading(
            putts=putts,
            holes=holes,
            problems=problems,
            notes=self._ledger.notes,
            rounds=rounds,
            rejected_rows=sorted(
                {*self._lost, *(row for e in keyless for row in _rows_of(e.written))},
                key=lambda row: (sheets.get(row.sheet, 0), row.number),
            ),
            skipped_rows=[row.number for row in self._done_with()],
            header_cells=header[0],
            columns=header[1],
        )

    def _all_sheets(self) -> Iterable[str | None]:
        yield from (row.sheet for row in (*self._skipped, *self._lost))
        yield from (line.row.sheet for e in self._rounds.values() for line in e.lines)

    def _done_with(self) -> list[Row]:
        """Rows without putts; those of a table with holes across belong to the holes played."""
        told = {row for entry in self._rounds.values() for row in _rows_of(entry.written)}
        blank = {row for e in self._rounds.values() for _, line in e.blank for row in line.rows}
        return sorted({*self._skipped, *blank} - told)

    def _round_reading(
        self,
        entry: RoundEntry,
        good: Sequence[HoleEntry],
        putts: pl.DataFrame,
        holes: pl.DataFrame,
        touched: dict[tuple[str | None, int], list[Problem]],
    ) -> RoundReading:
        assert entry.meta.key is not None
        player, date, number = entry.meta.key
        bad = [hole for hole in entry.holes if hole.bad]
        problems = dict.fromkeys(
            problem
            for row in sorted(_rows_of(entry.lines), key=lambda row: row.number)
            for problem in touched.get((row.sheet, row.number), ())
        )
        rejected = _rows_of([*(line for hole in bad for line in hole.lines), *entry.loose])
        stored = _rows_of(line for hole in good for line in hole.lines) - rejected
        return RoundReading(
            player=player,
            date=date,
            round=number,
            course=entry.meta.course,
            event=entry.meta.event,
            putts=putts,
            holes=holes,
            problems=list(problems),
            bad_holes=sorted({hole.number for hole in bad}),
            rejected_rows=sorted(rejected),
            rows=[row.number for row in sorted(stored)],
            good_rows=sorted(stored),
        )

    def _read_line(self, line: Line, carried: Carried) -> None:
        self._check_width(line)
        meta = self._one_spelling(carried.next(line))
        if not line.bad and not line.any_text() and not line.text("hole") and not line.text("par"):
            self._skipped.append(line.row)
            if not any(line.text(key) for key in BY_KEY):
                self._remarks.add(line.row.number)
            return
        number = self._hole_number(line)
        played = self._holes.is_played(line)
        if played:
            carried.need_date(line)
        entry = self._rounds.setdefault(meta.key or meta.written, RoundEntry(meta))
        entry.count += 1
        if entry.count > MAX_LINES:
            if entry.count == MAX_LINES + 1:
                what = f"{MAX_LINES:,} rows or holes of this round stand above this one"
                hint = "Where another round begins write its date, or another number of the round."
                line.complain(None, "", f"at most {MAX_LINES:,} a round", hint, what)
            entry.loose.append(line)
            return
        if not played and not line.bad:
            entry.blank.append((number or 0, line))
        elif not played:
            entry.loose.append(line)
        elif number is None:
            entry.loose.append(line)
            self._read_hole(line, meta, 0, RoundEntry(meta))
        else:
            self._read_hole(line, meta, number, entry)

    def _check_width(self, line: Line) -> None:
        if len(line.rows) > 1 or line.header.columns["hole"].written == "note":
            return
        found, width = len(line.row.cells), len(line.header.row.cells)
        extra = " ".join(line.row.cells[width:]).strip()
        if found > width:
            what = f"the row has {found} cells, the header {width}"
            line.complain(None, extra, f"a row of at most {width} cells", _DECIMAL_COMMA, what)

    def _one_spelling(self, meta: Meta) -> Meta:
        # Two spellings would be two rounds here, of which the archive could hold only one.
        if meta.player is None:
            return meta
        key = name_key(meta.player)
        return meta._replace(player=self._spellings.setdefault(key, meta.player))

    def _hole_number(self, line: Line) -> int | None:
        text = line.text("hole")
        later = line.header.layout == "putts" and line.text("putt").rstrip(".0") not in ("", "1")
        if not text and later and self._hole_above is not None:
            # A later putt of the hole above, whose number is written once.
            return self._hole_above
        if not text:
            hint = "Write the number of the hole in every row, or take the row out."
            line.complain("hole", "", "a hole number", hint, "the hole number is not written")
        found = line.read_column("hole")
        self._hole_above = found if isinstance(found, int) else None
        return self._hole_above

    def _read_hole(self, line: Line, meta: Meta, number: int, entry: RoundEntry) -> None:
        if line.header.layout == "holes":
            entry.holes.append(self._holes.read_hole(line, meta, number))
            return
        before = next((hole for hole in entry.holes if hole.number == number), None)
        hole = self._holes.read_putt_line(line, meta, number, before)
        if before is None:
            entry.holes.append(hole)

    def _ask_about_numbered(self, entry: RoundEntry) -> None:
        holes = {hole.number: hole for hole in entry.holes}
        for number, line in entry.blank:
            if number in holes and line.header.layout == "putts" and not entry.meta.as_written:
                ask_about_numbered(line, holes[number])
        entry.blank = [(number, line) for number, line in entry.blank if not line.bad]

    def _note_assumptions(self) -> None:
        if self._remarks:
            self._ledger.note(f"{numbered(self._remarks, 'row')}: nothing about putting, left out")
        entries = [entry for entry in self._rounds.values() if entry.holes]
        if any(hole.meta.player == UNKNOWN for entry in entries for hole in entry.holes):
            self._ledger.note("no player on the card: 'unknown' is taken (say who with --player)")
        if any(hole.meta.course == UNKNOWN for entry in entries for hole in entry.holes):
            self._ledger.note("no course on the card: 'unknown' is taken (say which with --course)")
        for entry in self._rounds.values():
            whose = entry.meta.said if len(self._rounds) > 1 else ""
            self._note_holes(entry, whose)

    def _note_holes(self, entry: RoundEntry, whose: str) -> None:
        played = {hole.number for hole in entry.holes}
        if blank := {number for number, _ in entry.blank} - played:
            self._ledger.note(
                f"{whose}{numbered(blank, 'hole')}: nothing written, taken as not played"
            )
        counted = {
            hole.number
            for hole in entry.holes
            if hole.shown == "lengths" and hole.lines and "putts" in hole.lines[0].header.columns
        }
        if counted:
            self._ledger.note(
                f"{whose}{numbered(counted, 'hole')}: putts not written, counted from the lengths"
            )


def _rows_of(lines: Iterable[Line]) -> set[Row]:
    return {row for line in lines for row in line.rows}


def _by_row(problems: Iterable[Problem]) -> dict[tuple[str | None, int], list[Problem]]:
    found: dict[tuple[str | None, int], list[Problem]] = {}
    for problem in problems:
        places = problem.everywhere
        for key in {(place.sheet, place.row) for place in places if place.row is not None}:
            found.setdefault((key[0], key[1] or 0), []).append(problem)
    return found


def _spoil_across(entries: Iterable[RoundEntry]) -> None:
    """With holes across the top a row belongs to all of them: one bad hole spoils the round."""
    for entry in entries:
        if any(len(line.rows) > 1 and line.bad for line in entry.written):
            for line in entry.written:
                line.bad = True


def _hold_rules(entries: Sequence[RoundEntry]) -> None:
    """Hold the putts of all good holes to the rules of the putts table."""
    holes = [hole for entry in entries for hole in entry.holes if not hole.bad and hole.putts]
    putts = [(at, hole, putt) for at, hole in enumerate(holes) for putt in hole.putts]
    if not putts:
        return
    schema = {"of": pl.Int64(), **{name: PUTTS_SCHEMA[name] for name in _RULED}}
    # Where too much is written of a hole a ball may be picked up before the last putt.
    schema["result"] = pl.String()
    rows = [
        (
            *(at, hole.number, putt.number),
            *(putt.values["distance_ft"], putt.values["leave_ft"], putt.result),
            *(putt.values[name] for name in ("miss_pace", "miss_side", "cause")),
            putt.line.row.number,
        )
        for at, hole, putt in putts
    ]
    table = pl.DataFrame(rows, schema=schema, orient="row")
    told: set[tuple[int, str]] = set()
    for fault in find_faults(table, ORDER, ["of"]):
        putt = putts[fault.at][2]
        miss = fault.rule.column in ("miss_pace", "miss_side", "cause")
        told_as = (fault.at, "miss" if miss else fault.rule.column)
        if told_as not in told:
            told.add(told_as)
            putt.complain(fault.rule.column, fault.rule.allowed, fault.rule.hint, fault.what)
    for _, _, putt in putts:
        if putt.result != "missed":
            putt.values.update(miss_pace=None, miss_side=None, cause=None)


def check_round(entry: RoundEntry, ledger: Ledger) -> None:
    """Write down what is wrong with a round as a whole."""
    if _check_one(entry, "course") and _check_one(entry, "event"):
        _check_once(entry, ledger)
        if not entry.loose:
            _check_gaps(entry, ledger)
            _check_play_off(entry)


def _check_one(entry: RoundEntry, key: Literal["course", "event"]) -> bool:
    """Whether a round has one course (or event); rows above its first mention take it over."""
    first_at: dict[str, HoleEntry] = {}
    for hole in entry.holes:
        value = hole.meta.course if key == "course" else hole.meta.event
        if value not in (None, UNKNOWN):
            first_at.setdefault(value, hole)
    if len(first_at) > 1:
        was, now, *_ = first_at
        _complain_of_two(entry, first_at[now], key, was, now)
        return False
    for value in first_at:
        entry.meta = _with(entry.meta, key, value)
        for hole in entry.holes:
            hole.meta = _with(hole.meta, key, value)
    return True


def _with(meta: Meta, key: Literal["course", "event"], value: str) -> Meta:
    return meta._replace(course=value) if key == "course" else meta._replace(event=value)


def _complain_of_two(entry: RoundEntry, hole: HoleEntry, key: str, was: str, now: str) -> None:
    line = hole.lines[0]
    hint = "Give the second round a 2 in the column 'round'"
    if "round" not in line.header.columns:
        hint = "Add a column 'round' with 1 and 2 if these are two rounds"
    what = f"one round has two {key}s, '{was}' and '{now}'"
    line.complain(key, now, f"one {key} a round", f"{hint}, or correct the {key}.", what)
    for each in entry.holes:
        each.spoil()


def _check_once(entry: RoundEntry, ledger: Ledger) -> None:
    seen: dict[int, HoleEntry] = {}
    twice: list[tuple[HoleEntry, HoleEntry]] = []
    for hole in entry.holes:
        first = seen.setdefault(hole.number, hole)
        if first is not hole:
            twice.append((first, hole))
    hint = "Correct the number; for a second round that day fill the column 'round' (1 and 2)."
    if len(twice) >= _TWICE_IS_A_ROUND:
        which = numbered({hole.number for _, hole in twice}, "hole")
        what = f"{which} stand twice: this may be a second round of the day"
        hint = (
            "Fill the column 'round' (1 and 2), write 'Round 2' and its date above the second, or "
            "take one of the two out."
        )
        places = [hole.lines[0].place("hole") for _, hole in twice]
        ledger.ask(places, "each hole once a round", hint, what, question=False)
    for first, hole in twice:
        line = hole.lines[0]
        if len(twice) < _TWICE_IS_A_ROUND:
            what = f"hole {hole.number} stands in row {first.lines[0].row.number} already"
            if len(line.rows) > 1:
                what = f"hole {hole.number} stands there already"
            line.complain("hole", line.text("hole"), "each hole once a round", hint, what)
        first.spoil()
        hole.spoil()


def _check_gaps(entry: RoundEntry, ledger: Ledger) -> None:
    """Ask once what holes were of which nothing is written; or take the answer."""
    first_seen: dict[int, HoleEntry] = {}
    for hole in entry.holes:
        first_seen.setdefault(hole.number, hole)
    played = [hole for hole in first_seen.values() if hole.number <= LAST_REGULAR]
    excused = {number for number, _ in entry.blank}
    gaps = _skipped([hole.number for hole in played])
    gaps += [] if entry.meta.as_written else _at_the_ends(played)
    gaps = [(number, after) for number, after in gaps if number not in excused]
    if not gaps:
        return
    if entry.meta.missing == "chipped in":
        for number, _ in gaps:
            entry.holes.append(HoleEntry(entry.meta, number, None, [], ending="chipped in"))
        entry.holes.sort(key=lambda hole: hole.number)
    if entry.meta.missing is not None:
        return
    places = []
    for _, after in gaps:
        line = next(hole for hole in played if hole.number == after).lines[0]
        places.append(line.place("hole"))
    numbers = [number for number, _ in gaps]
    is_missing = "is missing" if len(numbers) == 1 else "are missing"
    allowed = f"hole {numbers[0]} before hole {gaps[0][1]}"
    if len(numbers) > 1:
        allowed = "a row for every hole between the first and the last"
    what = f"{numbered(numbers, 'hole')} {is_missing}"
    hint = _GAP_HINT if len(numbers) == 1 else _GAP_HINT.replace("Add its row", "Add their rows", 1)
    ledger.ask(places, allowed, hint, what)


def _at_the_ends(played: Sequence[HoleEntry]) -> list[tuple[int, int]]:
    """The first or last hole of a card of a row a putt, where it may have been chipped in."""
    numbers = sorted(hole.number for hole in played)
    rows = [line for hole in played for line in hole.lines]
    if not rows or any(line.header.layout != "putts" or line.text("putt") == "0" for line in rows):
        return []
    for first, last in ((1, LAST_REGULAR), (1, 9), (10, LAST_REGULAR)):
        lacks = set(range(first, last + 1)) - set(numbers)
        ends = lacks & {first, last}
        if ends and len(lacks) <= 2 and first <= numbers[0] and numbers[-1] <= last:
            return [(end, numbers[0] if end == first else numbers[-1]) for end in sorted(ends)]
    return []


def _skipped(order: list[int]) -> list[tuple[int, int]]:
    """Holes left out between those played, each with the hole before which it belongs."""
    if not order:
        return []
    descents = sum(b < a for a, b in pairwise(order))
    goes_round = descents == 1 and order[-1] < order[0]
    walk = order if goes_round else sorted(order)
    skipped = []
    for here, there in pairwise(walk):
        step = here % LAST_REGULAR + 1
        while step != there:
            skipped.append((step, there))
            step = step % LAST_REGULAR + 1
    return skipped


def _check_play_off(entry: RoundEntry) -> None:
    extra = {hole.number: hole for hole in entry.holes if hole.number > LAST_REGULAR}
    for number in range(LAST_REGULAR + 1, max(extra, default=0)):
        if number in extra:
            continue
        line = extra[min(n for n in extra if n > number)].lines[0]
        what = f"play-off hole {number} is missing"
        hint = "Count the holes of a play-off 19, 20, 21."
        line.complain("hole", line.text("hole"), f"hole {number} first", hint, what)


def putts_table(holes: Iterable[HoleEntry], source: str) -> pl.DataFrame:
    """Putts of these holes, one row each, in the shape of the putts table."""
    rows = []
    for hole in holes:
        of_hole = _of_hole(hole)
        for putt, following in hole.steps():
            of_putt = {
                **putt.values,
                **of_hole,
                "putt": putt.number,
                "result": putt.result,
                "leave_ft": _leave(putt, following),
                "source_row": putt.line.row.number,
            }
            rows.append(tuple(map(of_putt.get, _OF_A_ROW)))
    table = pl.DataFrame(rows, {name: PUTTS_SCHEMA[name] for name in _OF_A_ROW}, orient="row")
    return table.with_columns(
        pl.lit(source).alias("source"),
        *(pl.col(name).fill_null(value) for name, value in _DEFAULTS.items()),
    ).select(pl.col(list(PUTTS_SCHEMA)))


def holes_table(holes: Iterable[HoleEntry]) -> pl.DataFrame:
    """Table of these holes, one row each, those without a putt among them."""
    rows = [tuple(map(_of_hole(hole).get, HOLES_SCHEMA)) for hole in holes]
    return pl.DataFrame(rows, schema=HOLES_SCHEMA, orient="row")


def _of_hole(hole: HoleEntry) -> dict[str, object]:
    meta = hole.meta
    return {
        "player": meta.player,
        "course": meta.course,
        "event": meta.event,
        "date": meta.date,
        "round": meta.round,
        "hole": hole.number,
        "par": hole.par,
        "ending": hole.ending,
    }


def _leave(putt: PuttEntry, following: PuttEntry | None) -> object:
    if putt.result == "holed":
        return 0.0
    if putt.result == "conceded":
        return None
    after = following.distance if following else None
    return putt.values["leave_ft"] if after is None else after


def read_scorecard(
    source: Path | bytes, name: str | None = None, options: CardOptions = _NO_OPTIONS
) -> Reading:
    r"""Read a scorecard: CSV, a table with pipes, a note or .xlsx, however it is laid out.

    Parameters
    ----------
    source : Path or bytes
        The file, or its contents.
    name : str, optional
        Name of the file in problems and in the column ``source``; otherwise that of the path.
    options : CardOptions
        What the card does not say itself.

    Returns
    -------
    Reading
        Putts, holes, problems, questions and notes. A user's mistake is a Problem, never an
        exception.

    Examples
    --------
    >>> import sgputt
    >>> card = b"date,player,hole,putts,putt1,putt2\n2026-05-03,Mara Lindqvist,1,2,12'6\",3\n"
    >>> reading = sgputt.read_scorecard(card, name="round.csv")
    >>> reading.putts.select("putt", "distance_ft", "result").rows()
    [(1, 12.5, 'missed'), (2, 3.0, 'holed')]
    """
    file = name or (name_of(source) if isinstance(source, Path) else "scorecard")
    ledger = Ledger(file.encode("utf-8", "replace").decode())
    today = options.today or dt.date.today()
    check_options(options, today, ledger)
    if ledger.problems:
        return _nothing(ledger, ())
    try:
        sheets = read_sheets(source, options.sheet, ledger)
    except FileError as exc:
        ledger.problems.append(exc.as_problem(ledger.file))
        return _nothing(ledger, ())
    cards = _with_cards(sheets, ledger)
    several = len(cards) > 1
    laid_out = [lay_out(sheet.rows, ledger, sheet.name if several else None) for sheet in cards]
    if not any(sheet.items for sheet in laid_out) and ledger.problems:
        return _nothing(ledger, [row for sheet in cards for row in sheet.rows])
    card = CardReader(ledger, options)
    card.read(laid_out, today)
    return card.reading()


def _with_cards(sheets: Sequence[Sheet], ledger: Ledger) -> list[Sheet]:
    """The sheets that read as cards, the others named; the first where none does."""
    if len(sheets) == 1:
        return list(sheets)
    cards = [sheet for sheet in sheets if has_a_card(sheet.rows)]
    others = [sheet.name or "" for sheet in sheets if sheet not in cards and sheet.rows]
    if cards and others:
        names = ", ".join(f"'{shown(name)}'" for name in others)
        ledger.note(f"not read, as they are no cards: sheets {names} (read one with --sheet)")
    # Of a workbook with one card the others are no part of what was read.
    if len(cards) == 1:
        rows = [row._replace(sheet=None) for row in cards[0].rows]
        return [Sheet(cards[0].name, rows)]
    return cards or [next((sheet for sheet in sheets if sheet.rows), sheets[0])]


def _nothing(ledger: Ledger, rejected: Sequence[Row]) -> Reading:
    putts, holes = putts_table((), ledger.file), holes_table(())
    return Reading(putts, holes, ledger.problems, ledger.notes, rejected_rows=list(rejected))

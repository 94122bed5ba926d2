"""The rows of one card, given to rounds and holes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Sequence

from sgputt.scorecard import per_hole, per_putt
from sgputt.scorecard.dates import DateReader
from sgputt.scorecard.entries import PuttCells
from sgputt.scorecard.fields import RowView, hole_number
from sgputt.scorecard.headers import Header
from sgputt.scorecard.meta import UNKNOWN, FillDown, Meta
from sgputt.scorecard.options import CardOptions
from sgputt.scorecard.problem import Ledger, Problem
from sgputt.scorecard.reading import Reading, RoundReading
from sgputt.scorecard.row import Row, numbered
from sgputt.scorecard.rules import RoundEntry, check_round
from sgputt.scorecard.tables import holes_table, putts_table

TOTALS = (
    *("out", "in", "total", "totals", "tot", "sum", "front", "back", "f9", "b9", "overall"),
    *("front 9", "back 9", "front nine", "back nine", "total out", "total in"),
)
_CARRIED = ("date", "player", "course", "event", "round", "stimp")
_DECIMAL_COMMA = (
    'A decimal comma needs quotes ("12,5") or a point (12.5) where commas part the cells; '
    "delete separators at the end of a row."
)


class Card:
    """A card while it is read.

    Parameters
    ----------
    header : Header
        Its columns and layout.
    ledger : Ledger
        Where problems and notes go.
    options : CardOptions
        What the card does not say itself.
    skipped : list of int
        Rows that are done with: those above the header, and the header.
    """

    def __init__(
        self, header: Header, ledger: Ledger, options: CardOptions, skipped: list[int]
    ) -> None:
        self._header = header
        self._ledger = ledger
        self._options = options
        self._skipped = skipped
        self._cells = PuttCells(options)
        self._rounds: dict[Hashable, RoundEntry] = {}
        self._left_out: dict[str, set[int]] = {}
        self._spellings: dict[str, str] = {}

    def read(self, rows: Sequence[Row], today: dt.date) -> None:
        """Read all rows below the header, then check what only shows between them."""
        self._note_unnamed(rows)
        views = [RowView(row, self._header, self._ledger) for row in rows]
        dates = DateReader((v.text("date") for v in views), self._options.date_order, today)
        filled = FillDown(self._options, dates)
        for view in views:
            if self._is_total(view):
                self._leave_out(view, "totals or a header, not a hole")
            else:
                self._read_row(view, filled)
        for entry in self._rounds.values():
            if self._header.layout == "putts":
                self._ask_about_numbered(entry)
                for hole in entry.holes:
                    per_putt.finish(hole)
            check_round(entry)
        self._note_assumptions()

    def reading(self) -> Reading:
        """Tables, problems and notes of what was read."""
        problems = self._ledger.problems
        if not problems and not any(entry.holes for entry in self._rounds.values()):
            hint = "Write at least the number of putts and the first length of one hole."
            self._ledger.add(None, None, "", "a hole with putts", hint, what="nothing was played")
        problems.sort(key=lambda problem: problem.row or 0)
        by_row: dict[int | None, list[Problem]] = {}
        for problem in problems:
            by_row.setdefault(problem.row, []).append(problem)
        keyed = [entry for entry in self._rounds.values() if entry.meta.key is not None]
        keyless = [entry for entry in self._rounds.values() if entry.meta.key is None]
        good = [hole for entry in keyed for hole in entry.holes if not hole.bad]
        return Reading(
            putts=putts_table(good, self._ledger.file),
            holes=holes_table(good),
            problems=problems,
            notes=self._ledger.notes,
            rounds=[
                self._round_reading(entry, by_row) for entry in keyed if entry.holes or entry.loose
            ],
            rejected_rows=_sorted_rows(view for entry in keyless for view in entry.written),
            skipped_rows=sorted(self._skipped),
            header_cells=self._header.row.cells,
            columns={key: column.index for key, column in self._header.columns.items()},
        )

    def _round_reading(
        self, entry: RoundEntry, by_row: dict[int | None, list[Problem]]
    ) -> RoundReading:
        assert entry.meta.key is not None
        player, date, number = entry.meta.key
        good = [hole for hole in entry.holes if not hole.bad]
        bad = [hole for hole in entry.holes if hole.bad]
        touched = sorted(view.row.number for view in entry.views)
        rejected = [view for hole in bad for view in hole.views]
        return RoundReading(
            player=player,
            date=date,
            round=number,
            course=entry.meta.course,
            event=entry.meta.event,
            putts=putts_table(good, self._ledger.file),
            holes=holes_table(good),
            problems=[problem for row in touched for problem in by_row.get(row, ())],
            bad_holes=sorted({hole.number for hole in bad}),
            rejected_rows=_sorted_rows([*rejected, *entry.loose]),
            rows=sorted(view.row.number for hole in good for view in hole.views),
        )

    def _is_total(self, view: RowView) -> bool:
        hole = " ".join(view.text("hole").casefold().split())
        return hole.rstrip(":") in TOTALS or view.row.cells == self._header.row.cells

    def _leave_out(self, view: RowView, why: str) -> None:
        self._skipped.append(view.row.number)
        self._left_out.setdefault(why, set()).add(view.row.number)

    def _read_row(self, view: RowView, filled: FillDown) -> None:
        self._check_width(view)
        meta = self._one_spelling(filled.next(view))
        if not view.bad and not self._has_any(view, set(self._header.columns) - set(_CARRIED)):
            if self._has_any(view, _CARRIED):
                self._skipped.append(view.row.number)
            else:
                self._leave_out(view, "nothing about putting")
            return
        number = self._hole_number(view)
        played = self._is_played(view)
        if played:
            filled.need_date(view)
        self._place(view, meta, number, played)

    def _check_width(self, view: RowView) -> None:
        found, width = len(view.row.cells), len(self._header.row.cells)
        if found > width:
            what = f"the row has {found} cells, the header {width}"
            extra = " ".join(view.row.cells[width:])
            view.complain(None, extra, f"a row of at most {width} cells", _DECIMAL_COMMA, what)

    def _has_any(self, view: RowView, keys: Iterable[str]) -> bool:
        return any(view.text(key) for key in keys)

    def _one_spelling(self, meta: Meta) -> Meta:
        # Two spellings would be two rounds here, of which the archive could hold only one.
        if meta.player is None:
            return meta
        key = meta.player.casefold()
        return meta._replace(player=self._spellings.setdefault(key, meta.player))

    def _hole_number(self, view: RowView) -> int | None:
        if not view.text("hole"):
            hint = "Write the number of the hole in every row."
            view.complain("hole", "", "a hole number", hint, "the hole number is not written")
        return view.read("hole", hole_number)

    def _is_played(self, view: RowView) -> bool:
        if self._header.layout == "holes":
            return per_hole.is_played(view, self._cells)
        return per_putt.is_played(view)

    def _place(self, view: RowView, meta: Meta, number: int | None, played: bool) -> None:
        entry = self._rounds.setdefault(meta.key or meta.written, RoundEntry(meta))
        if not played and not view.bad:
            entry.blank.append((number or 0, view))
            self._skipped.append(view.row.number)
        elif not played:
            entry.loose.append(view)
        elif number is None:
            entry.loose.append(view)
            self._read_hole(view, meta, 0, RoundEntry(meta))
        else:
            self._read_hole(view, meta, number, entry)

    def _read_hole(self, view: RowView, meta: Meta, number: int, entry: RoundEntry) -> None:
        if self._header.layout == "holes":
            entry.holes.append(per_hole.read_hole(view, meta, number, self._cells))
            return
        before = next((hole for hole in entry.holes if hole.number == number), None)
        hole = per_putt.read_line(view, meta, number, self._cells, before)
        if before is None:
            entry.holes.append(hole)

    def _ask_about_numbered(self, entry: RoundEntry) -> None:
        holes = {hole.number: hole for hole in entry.holes}
        for number, view in entry.blank:
            if number in holes and per_putt.may_be_struck(view, holes[number]):
                holes[number].views.append(view)
                self._skipped.remove(view.row.number)
        entry.blank = [(number, view) for number, view in entry.blank if not view.bad]

    def _note_unnamed(self, rows: Sequence[Row]) -> None:
        for index, text in enumerate(self._header.row.cells):
            if not text.strip() and any("".join(r.cells[index : index + 1]).strip() for r in rows):
                self._ledger.note(f"column {index + 1} has no name: left out")

    def _note_assumptions(self) -> None:
        for why, rows in self._left_out.items():
            self._ledger.note(f"{numbered(rows, 'row')}: {why}, left out")
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
        counted = {h.number for h in entry.holes if per_hole.counted_from_lengths(h.views[0])}
        if counted:
            self._ledger.note(
                f"{whose}{numbered(counted, 'hole')}: putts not written, counted from the lengths"
            )


def _sorted_rows(views: Iterable[RowView]) -> list[Row]:
    return sorted(view.row for view in views)

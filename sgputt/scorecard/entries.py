"""Putts and holes as read from a card, before they become a table."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import zip_longest

from sgputt.scorecard import words
from sgputt.scorecard.fields import RowView, grade_of, leave_length, putt_length
from sgputt.scorecard.meta import Meta
from sgputt.scorecard.options import CardOptions

WORD_KEYS = ("slope", "break", "miss", "miss_pace", "miss_side", "cause", "surface", "grade")


@dataclass(eq=False)
class PuttEntry:
    """One putt. ``result`` None: not written, to be inferred from its place in the hole."""

    view: RowView
    slot: str
    number: int
    distance: float | None
    leave: float | None
    result: str | None
    slope: str
    breaking: str
    miss_pace: str | None
    miss_side: str | None
    cause: str | None
    surface: str
    grade: float | None
    stimp_ft: float | None

    def complain(self, key: str, value: str, allowed: str, hint: str, what: str) -> None:
        """Write down a problem of this putt."""
        self.view.complain(self.view_key(key), value, allowed, hint, what)

    def view_key(self, key: str) -> str:
        """Key of this putt's column, as ``slope2`` in a card of a row a hole."""
        return f"{key}{self.slot}"


@dataclass(eq=False)
class HoleEntry:
    """One hole of a round. ``ending`` None: it follows from the putts."""

    meta: Meta
    number: int
    par: int | None
    views: list[RowView]
    putts: list[PuttEntry] = field(default_factory=list)
    ending: str | None = None

    @property
    def bad(self) -> bool:
        """Whether a problem was written down for one of its rows."""
        return any(view.bad for view in self.views)

    def steps(self) -> Iterator[tuple[PuttEntry, PuttEntry | None]]:
        """Each putt with the one after it."""
        return zip_longest(self.putts, self.putts[1:])


class PuttCells:
    """Reads the cells of one putt."""

    def __init__(self, options: CardOptions) -> None:
        self._unit = options.unit or "ft"
        self._pace_ft = options.pace_ft

    def is_filled(self, view: RowView, slot: str) -> bool:
        """Whether anything is written about this putt."""
        return any(view.text(f"{key}{slot}") for key in ("distance", *WORD_KEYS))

    def read(self, view: RowView, slot: str, number: int, stimp_ft: float | None) -> PuttEntry:
        """Putt of a row; unreadable cells become problems and stand as unknown."""
        breaking = view.read(f"break{slot}", words.read_break) or "unknown"
        pace, side = _miss(view, slot, breaking)
        return PuttEntry(
            view=view,
            slot=slot,
            number=number,
            distance=self._length(view, f"distance{slot}", putt_length),
            leave=self._length(view, f"leave{slot}", leave_length),
            result=None,
            slope=view.read(f"slope{slot}", words.read_slope) or "unknown",
            breaking=breaking,
            miss_pace=pace,
            miss_side=side,
            cause=view.read(f"cause{slot}", words.read_cause),
            surface=view.read(f"surface{slot}", words.read_surface) or "green",
            grade=view.read(f"grade{slot}", grade_of),
            stimp_ft=stimp_ft,
        )

    def _length(
        self, view: RowView, key: str, reader: Callable[[str, str, float], float]
    ) -> float | None:
        column = view.header.columns.get(key)
        unit = (column and column.unit) or self._unit
        return view.read(key, lambda text: reader(text, unit, self._pace_ft))


def _miss(view: RowView, slot: str, breaking: str) -> tuple[str | None, str | None]:
    both = view.read(f"miss{slot}", lambda text: words.read_miss(text, breaking))
    pace = view.read(f"miss_pace{slot}", words.read_pace)
    side = view.read(f"miss_side{slot}", lambda text: words.read_side(text, breaking))
    if both is None:
        return pace, side
    for key, one, other in (("miss_pace", pace, both[0]), ("miss_side", side, both[1])):
        if one and other and one != other:
            hint = "Write the miss in one place only."
            what = f"'{one}' here, but '{other}' in column '{view.header.written(f'miss{slot}')}'"
            view.complain(f"{key}{slot}", view.text(f"{key}{slot}"), "the same miss", hint, what)
    return pace or both[0], side or both[1]

"""Blank scorecards to be typed into."""

from __future__ import annotations

import csv
import datetime as dt
import io

from sgputt.putts.columns import COLUMNS, Layout
from sgputt.safe_text import guard

# Putts of a hole for which a card of a row a hole has lengths, and words.
_LENGTHS, _WORDS = 4, 2


def _of(layout: Layout, *per: str) -> list[str]:
    names = [column.name for column in COLUMNS if layout in column.blank and column.per in per]
    # The day is what everybody writes first.
    return sorted(names, key=lambda name: name != "date")


def _holes_header() -> tuple[str, ...]:
    before = [name for name in _of("holes", "round", "hole") if name != "stimp_ft"]
    words = [name for name in _of("holes", "putt") if name not in ("distance_ft", "result")]
    for number in range(1, _LENGTHS + 1):
        before.append(f"putt{number}")
        if number <= _WORDS:
            before += [name if number == 1 else f"{name}{number}" for name in words]
    return (*before, "result", "stimp_ft")


def _putts_header() -> tuple[str, ...]:
    return tuple(_of("putts", "round", "hole", "putt"))


HOLES_HEADER = _holes_header()
PUTTS_HEADER = _putts_header()


def blank_card(
    layout: Layout,
    player: str | None = None,
    course: str | None = None,
    date: dt.date | None = None,
    holes: int = 18,
) -> str:
    """CSV text of a blank scorecard; rows left unfilled read back as not played.

    Parameters
    ----------
    layout : {'putts', 'holes'}
        A row a putt, or a row a hole. Of the two rows prepared for each hole the second has no
        number yet: one that is numbered and left empty could be a putt.
    player, course : str, optional
        Written on the first row.
    date : datetime.date, optional
        Written on the first row.
    holes : int
        Number of holes.
    """
    names = PUTTS_HEADER if layout == "putts" else HOLES_HEADER
    rows = [{"hole": str(hole)} for hole in range(1, holes + 1)]
    if layout == "putts":
        rows = [{**row, "putt": putt} for row in rows for putt in ("1", "")]
    first = {
        "player": guard(player or ""),
        "course": guard(course or ""),
        "date": date.isoformat() if date else "",
    }
    text = io.StringIO()
    writer = csv.DictWriter(text, names, lineterminator="\n")
    writer.writeheader()
    writer.writerows([{**rows[0], **first}, *rows[1:]])
    return text.getvalue()

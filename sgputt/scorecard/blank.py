"""Blank scorecards to be typed into."""

from __future__ import annotations

import csv
import datetime as dt
import io

from sgputt.safe_text import guard
from sgputt.scorecard.headers import Layout

_ONCE = ("date", "player", "course", "event", "round")
HOLES_HEADER = (
    *_ONCE,
    *("hole", "par", "putts", "putt1", "slope", "break", "miss"),
    *("putt2", "slope2", "break2", "miss2", "putt3", "putt4", "result", "stimp_ft"),
)
PUTTS_HEADER = (
    *_ONCE,
    *("hole", "par", "putt", "distance_ft", "result", "slope", "break", "miss"),
    *("cause", "surface", "stimp_ft", "grade"),
)


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

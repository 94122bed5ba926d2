"""What the user says about a card beside the card."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from sgputt.putts.units import UNITS
from sgputt.scorecard.dates import EARLIEST_YEAR, DateOrder
from sgputt.scorecard.fields import STIMP_FT, clean_text
from sgputt.scorecard.problem import CellError, Ledger


@dataclass(frozen=True)
class CardOptions:
    """What a card does not say itself; its own columns win.

    Parameters
    ----------
    player, course, event : str, optional
        Names for rows without one.
    date : datetime.date, optional
        Date of a card without one.
    round : int, optional
        Round of a card without one (otherwise 1).
    unit : str, optional
        Unit of bare lengths, one of :data:`sgputt.putts.units.UNITS`; a unit in the header wins.
    pace_ft : float
        Length of a pace in feet.
    stimp_ft : float, optional
        Green speed in feet of a card without one.
    date_order : {'dmy', 'mdy'}, optional
        How to read 3/5/2026.
    sheet : str, optional
        Sheet of a workbook; otherwise the first.
    today : datetime.date, optional
        The day to hold dates against; otherwise the real one.
    """

    player: str | None = None
    course: str | None = None
    event: str | None = None
    date: dt.date | None = None
    round: int | None = None
    unit: str | None = None
    pace_ft: float = 3.0
    stimp_ft: float | None = None
    date_order: DateOrder | None = None
    sheet: str | None = None
    today: dt.date | None = None


def check_options(options: CardOptions, today: dt.date, ledger: Ledger) -> None:
    """Write down what is wrong with the options themselves."""
    low, high = STIMP_FT
    date, speed = options.date, options.stimp_ft
    in_time = date is None or dt.date(EARLIEST_YEAR, 1, 1) <= date <= today + dt.timedelta(days=1)
    checks = (
        (options.unit in (None, *UNITS), options.unit, f"a unit: {', '.join(UNITS)}"),
        (_is_pace(options.pace_ft), options.pace_ft, "a pace of more than 0 and up to 10 ft"),
        (
            speed is None or low <= speed <= high,
            speed,
            f"a green speed of {low:.0f} to {high:.0f} ft",
        ),
        (
            options.date_order in (None, "dmy", "mdy"),
            options.date_order,
            "a date order: dmy or mdy",
        ),
        (options.round is None or 1 <= options.round <= 99, options.round, "a round, 1 to 99"),
        (in_time, date, f"a date from {EARLIEST_YEAR} to today"),
    )
    for fine, value, allowed in checks:
        if not fine:
            ledger.add(None, None, str(value), allowed, "This came with the command, not the card.")
    for name in (options.player, options.course, options.event):
        try:
            clean_text(name or "")
        except CellError as exc:
            ledger.add(None, None, name or "", exc.allowed, exc.hint, what=exc.what)


def _is_pace(feet: float) -> bool:
    return math.isfinite(feet) and 0 < feet <= 10

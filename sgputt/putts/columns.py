"""The columns of the putts table, each declared once.

Its type, its words and how people spell them, the headers by which a card calls it, what holds
when nothing is written, what it belongs to, where on a blank card it stands: whatever needs any of
these (the schema, the reader of cards, blank cards, the archive, the rules, DEVELOPERS.md) takes it
from here.
To add a column, declare it here and add it to the archive by a migration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import polars as pl

from sgputt.putts.values import (
    STEEPEST,
    WIDEST_AIM_IN,
    read_aim,
    read_grade,
    read_whole,
    read_word,
)

Layout = Literal["putts", "holes"]
LONGEST_FT = 100.0
STIMP_FT = (4.0, 16.0)
LAST_REGULAR = 18
LAST_HOLE = 36
MAX_PUTTS = 10


@dataclass(frozen=True)
class PuttColumn:
    """One column of the putts table, or of a card alone.

    Attributes
    ----------
    name : str
        In the putts table.
    kind : polars.DataType or None
        None: of a card alone, of which the table keeps something else.
    per : {'round', 'hole', 'putt', 'row'}
        What has one value of it; ``row``: where it was written.
    means : str
        What may stand in the table, for DEVELOPERS.md.
    headers : str
        How people call it on a card, by commas.
    key : str
        Its short name on a card, where that is another.
    words : mapping of str to str
        The words of the table and, by commas, how people spell each.
    also : mapping of str to str
        Further words of a card. The word ``''`` stands for nothing known.
    least, most : float, optional
        Limits; ``least`` itself is outside of a length.
    default : str, int or None
        Stands for null in the table.
    needed : bool
        Whether a table without it is refused.
    allowed, hint : str
        What may stand in a cell and what to type, for messages.
    blank : tuple of str
        Blank cards on which it stands.
    parse : callable, optional
        Reads a cell that holds neither a word nor a whole number nor a length.
    before : tuple of str
        Words that may stand before a whole number.
    """

    name: str
    kind: pl.DataType | None
    per: Literal["round", "hole", "putt", "row"]
    means: str = ""
    headers: str = ""
    key: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    also: Mapping[str, str] = field(default_factory=dict)
    least: float | None = None
    most: float | None = None
    default: str | int | None = None
    needed: bool = False
    allowed: str = ""
    hint: str = ""
    blank: tuple[Layout, ...] = ()
    parse: Callable[[str, str, str, str | None], float] | None = None
    before: tuple[str, ...] = ()

    @property
    def on_card(self) -> str:
        """Its name on a card, to which the number of a putt may be added."""
        return self.key or self.name

    @property
    def is_length(self) -> bool:
        """Whether a cell of it is a length with a unit."""
        return self.name.endswith("_ft")

    @property
    def dtype(self) -> pl.DataType:
        """Its type in the putts table: the words of it where it has any."""
        if self.kind is None:
            raise TypeError(f"{self.name} is of a card alone")
        return pl.Enum(list(self.words)) if self.words else self.kind

    @property
    def sql(self) -> str:
        """Its declaration in the archive."""
        kind = self.dtype
        number = "REAL" if kind.is_float() else "INTEGER" if kind.is_integer() else "TEXT"
        must = self.name in ("hole", "putt", "result") or (self.per == "putt" and self.default)
        return f'"{self.name}" {number}{" NOT NULL" if must else ""}'

    @cached_property
    def spellings(self) -> dict[str, str]:
        """Each spelling of a word, and the word."""
        every = {**self.words, **self.also}
        return {
            spelling.strip(): word
            for word, spelled in every.items()
            for spelling in (word, *spelled.split(","))
            if spelling.strip()
        }

    def read(self, text: str, unit: str | None = None) -> str | int | float | None:
        """Value of a cell; lengths are read with their unit by the reader of cards.

        Raises
        ------
        CellError
            Not what may stand there.
        """
        if self.parse is not None:
            return self.parse(text, self.allowed, self.hint, unit)
        if self.words or self.also:
            return read_word(text, self.spellings, self.allowed, self.hint) or None
        least, most = int(self.least or 0), int(self.most or 0)
        return read_whole(text, least, most, self.allowed, self.hint, self.before)


_BOTH: tuple[Layout, ...] = ("holes", "putts")
_COUNT_HINT = "Count the putts of a hole 1, 2, 3; write 0 for a hole without a putt."

COLUMNS: tuple[PuttColumn, ...] = (
    PuttColumn(
        "player",
        pl.String(),
        "round",
        "name; null is `unknown`",
        "player, name, golfer, player name, who",
        default="unknown",
        blank=_BOTH,
    ),
    PuttColumn(
        "course",
        pl.String(),
        "round",
        "name; null is `unknown`",
        "course, club, venue, course name, golf course, golf club, where",
        default="unknown",
        blank=_BOTH,
    ),
    PuttColumn(
        "event",
        pl.String(),
        "round",
        "name, or null",
        "event, tournament, competition, comp, event name, tournament name",
        blank=_BOTH,
    ),
    PuttColumn(
        "date",
        pl.Date(),
        "round",
        "day of the round",
        "date, day, played on, date played, round date, when",
        needed=True,
        allowed="a date",
        hint="Write the day of the round as a date, or as 2026-05-03.",
        blank=_BOTH,
    ),
    PuttColumn(
        "round",
        pl.Int16(),
        "round",
        "1, and 2 for the second of a day",
        "round, rd, rnd, round no, round number, round nr, rd no",
        least=1,
        most=99,
        default=1,
        allowed="a round number, 1 to 99",
        hint="Write 1, or 2 for the second round of a day.",
        blank=_BOTH,
        before=("r", "rd", "round"),
    ),
    PuttColumn(
        "hole",
        pl.Int16(),
        "hole",
        "1 to 18, 19 and up in a play-off",
        "hole, no, hole no, hole number, hole num, hole nr, holes, h",
        least=1,
        most=LAST_HOLE,
        needed=True,
        allowed=f"a hole number: 1 to {LAST_REGULAR}, 19 to {LAST_HOLE} for a play-off",
        hint=f"Write 1 to {LAST_REGULAR}.",
        blank=_BOTH,
        before=("h", "hole", "no", "#"),
    ),
    PuttColumn(
        "par",
        pl.Int8(),
        "hole",
        "3 to 6, or null",
        "par, hole par, par of hole",
        least=3,
        most=6,
        allowed="a par: 3, 4, 5, 6 or blank",
        hint="Write 3, 4, 5 or 6, or leave it blank.",
        blank=_BOTH,
        before=("par", "p"),
    ),
    PuttColumn(
        "putts",
        None,
        "hole",
        headers="putts, no putts, no of putts, number of putts, putts no, putts taken, "
        "total putts, num putts, putt count, putts total, nr of putts, putts hole, "
        "putts per hole, how many putts",
        least=0,
        most=MAX_PUTTS,
        allowed=f"a number of putts, 0 to {MAX_PUTTS}",
        hint="Write how many putts the hole took; 0 when it was chipped in; of a ball picked up "
        "those it had taken, and 'picked up' as the result.",
        blank=("holes",),
    ),
    PuttColumn(
        "putt",
        pl.Int8(),
        "putt",
        "1, 2, 3 within the hole",
        "putt, putt no, putt number, putt num, putt nr",
        least=1,
        most=MAX_PUTTS,
        needed=True,
        allowed=f"the number of a putt, 0 to {MAX_PUTTS}",
        hint=_COUNT_HINT,
        blank=("putts",),
        before=("p", "putt"),
    ),
    PuttColumn(
        "distance_ft",
        pl.Float64(),
        "putt",
        "before the stroke; null for a later putt whose length was not written",
        "distance, dist, length, len, putt length, putt distance, putt dist, putt len, "
        "length of putt, distance of putt, distance before, length before, distance to hole, "
        "distance from hole, proximity, proximity to hole, distance to pin",
        key="distance",
        least=0,
        most=LONGEST_FT,
        needed=True,
        allowed=f"a length over 0 and up to {LONGEST_FT:.0f} ft",
        hint="Leave a later putt's length empty where it is not known.",
        blank=_BOTH,
    ),
    PuttColumn(
        "leave_ft",
        pl.Float64(),
        "putt",
        "after it: 0 when holed, null when unknown or conceded",
        "leave, distance left, distance after, remaining, length left, leave distance, "
        "left after, distance remaining, length remaining, length after, leave after, "
        "remaining after, left over",
        key="leave",
        least=0,
        most=LONGEST_FT,
        allowed=f"a length of 0 to {LONGEST_FT:.0f} ft",
        hint="Write the same length in both places, or leave the leave blank.",
    ),
    PuttColumn(
        "result",
        pl.String(),
        "putt",
        "holed, missed, conceded",
        "result, outcome, ending, finish, holed, made, hole result, putt result",
        words={
            "holed": "hole, h, made, make, in, yes, y, 1, true, sunk, ✓, ✔, drained",
            "missed": "miss, m, no, n, 0, false",
            "conceded": "concede, conc, gimme, given, gimmie",
        },
        also={
            "picked up": "pickup, pu, picked, lifted, pick up, picked_up",
            "chipped in": "chipin, chipped, chip, chip in, holed out from off, holed from off, "
            "holed out from off the green, holed from off the green, holed out",
        },
        needed=True,
        allowed="a result: holed, missed, conceded, picked up or chipped in",
        hint="Write holed, missed, conceded, picked up or chipped in.",
        blank=_BOTH,
    ),
    PuttColumn(
        "slope",
        pl.String(),
        "putt",
        "along the line: uphill, level, downhill, unknown",
        "slope, incline, up down, uphill downhill, up or down, up/down",
        words={
            "uphill": "up, u, +, ↑, ⬆, upslope, up hill, uphil",
            "level": "flat, l, f, 0, =, even",
            "downhill": "down, d, -, ↓, ⬇, downslope, dn, down hill, downhil",
            "unknown": "?, not known",
        },
        default="unknown",
        allowed="a slope: uphill, level, downhill or unknown",
        hint="Write uphill, level, downhill or leave it blank.",
        blank=_BOTH,
    ),
    PuttColumn(
        "break",
        pl.String(),
        "putt",
        "left to right, straight, right to left, unknown",
        "break, breaks, break dir, break direction, curve",
        words={
            "left to right": "l-r, lr, l2r, l>r, l→r, l->r, left-right, left>right, left/right, "
            "l/r, ltr, →, ->, >, l to r, left → right, ltor, lefttoright",
            "straight": "none, s, 0, -, no, str, flat, no break",
            "right to left": "r-l, rl, r2l, r>l, r→l, r->l, right-left, right>left, right/left, "
            "r/l, rtl, ←, <-, <, r to l, right → left, rtol, righttoleft",
            "unknown": "?, not known",
        },
        default="unknown",
        allowed="a break: left to right, straight, right to left or unknown",
        hint="Write left to right (L-R), right to left (R-L), straight, or leave it blank.",
        blank=_BOTH,
    ),
    PuttColumn(
        "miss",
        None,
        "putt",
        headers="miss, missed, miss dir, miss direction, how missed, missed how",
        allowed="a miss: short or past, left, right, high or low, or two of them (short left)",
        hint="Write for instance: short left, past, high.",
        blank=_BOTH,
    ),
    PuttColumn(
        "miss_pace",
        pl.String(),
        "putt",
        "short, past, unknown; null when holed",
        "miss pace, pace, pace miss, short past, short long, miss length",
        words={
            "short": "s",
            "past": "long, thru, through, p, over",
            "unknown": "?",
        },
        also={"": "none, ok, good, fine"},
        allowed="a pace of miss: short, past or unknown",
        hint="Write short or past.",
    ),
    PuttColumn(
        "miss_side",
        pl.String(),
        "putt",
        "left, right, none, unknown; null when holed",
        "miss side, side, side miss, left right",
        words={
            "left": "l",
            "right": "r",
            "none": "straight, online, centre, center, middle, no, on line",
            "unknown": "?",
        },
        also={"high": "hi, above, high side", "low": "lo, below, low side"},
        allowed="a side of miss: left, right, none, high, low or unknown",
        hint="Write left, right, high, low or none.",
    ),
    PuttColumn(
        "cause",
        pl.String(),
        "putt",
        "the player's word: read, aim, stroke, pace",
        "cause, why, reason, miss cause, cause of miss, fault",
        words={
            "read": "misread, reading, green reading, bad read",
            "aim": "alignment, aiming",
            "stroke": "strike, start line",
            "pace": "speed",
        },
        also={"": "none, unknown, ?"},
        allowed="a cause: read, aim, stroke or pace",
        hint="Write read, aim, stroke or pace, or leave it blank.",
        blank=("putts",),
    ),
    PuttColumn(
        "surface",
        pl.String(),
        "putt",
        "green, off green",
        "surface, lie, putted from",
        words={
            "green": "g, on, on green, on the green",
            "off green": "off, fringe, fairway, apron, collar, rough, off the green",
        },
        default="green",
        allowed="a surface: green or off green",
        hint="Write green or off green.",
        blank=("putts",),
    ),
    PuttColumn(
        "stimp_ft",
        pl.Float64(),
        "round",
        "green speed",
        "stimp, speed, green speed, greens speed, stimpmeter, stimp reading",
        key="stimp",
        least=STIMP_FT[0],
        most=STIMP_FT[1],
        allowed=f"a green speed of {STIMP_FT[0]:.0f} to {STIMP_FT[1]:.0f} ft",
        hint="Write the stimp in feet (10.5), or in metres with the unit (3.2 m).",
        blank=_BOTH,
    ),
    PuttColumn(
        "grade",
        pl.Float64(),
        "putt",
        "rise over run, 0 to 0.15",
        "grade, grade percent, slope percent, percent slope, gradient, percent, slope pct",
        least=0,
        most=STEEPEST,
        allowed=f"a grade of 0 to {STEEPEST * 100:.0f} %",
        hint="Write percent (2.5%); up or down goes into the column 'slope'.",
        blank=("putts",),
        parse=read_grade,
    ),
    PuttColumn(
        "break_in",
        pl.Float64(),
        "putt",
        "break played: how far outside the centre of the hole the player aimed, in inches at the "
        "hole, positive left; null when not written",
        "break played, break in, aim, aimed, aim point, aimed at, aim outside, borrow, played",
        least=-WIDEST_AIM_IN,
        most=WIDEST_AIM_IN,
        allowed=f"an aim with its side, up to {WIDEST_AIM_IN / 12:.0f} ft",
        hint="Write for instance: 6 in left, left edge, 2 cups right, 1 ball left, centre.",
        blank=_BOTH,
        parse=read_aim,
    ),
    PuttColumn(
        "as_written",
        None,
        "hole",
        headers="as written, is so, sure",
        allowed="yes, or blank",
        hint="Write yes where what can hardly be true is so.",
    ),
    PuttColumn("source", pl.String(), "row", "the file it was written in"),
    PuttColumn("source_row", pl.Int32(), "row", "the row there"),
)
COLUMN = {column.name: column for column in COLUMNS}
BY_KEY = {column.on_card: column for column in COLUMNS}
IN_TABLE = tuple(column for column in COLUMNS if column.kind is not None)
"""What a card may say of each putt beside its length and result."""
SAID_OF_A_PUTT = tuple(
    column
    for column in COLUMNS
    if column.per == "putt" and column.name not in ("putt", "distance_ft", "leave_ft", "result")
)


def words_of(name: str) -> tuple[str, ...]:
    """The words of a column of the putts table."""
    return tuple(COLUMN[name].words)


def described() -> str:
    """The table of columns as DEVELOPERS.md shows it."""
    lines = ["| column | holds |", "|---|---|"]
    lines += [f"| `{column.name}` | {column.means} |" for column in IN_TABLE]
    return "\n".join(lines)

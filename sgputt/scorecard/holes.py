"""Lines of a card to holes and their putts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from sgputt.putts.columns import BY_KEY, COLUMN, SAID_OF_A_PUTT
from sgputt.putts.values import CellError, read_word
from sgputt.scorecard.card import CardOptions, Meta, usual_unit
from sgputt.scorecard.cells import (
    Length,
    Line,
    is_bare,
    is_nothing,
    leave_length,
    putt_length,
    word_for_length,
)
from sgputt.scorecard.problem import Place

WORD_KEYS = tuple(column.on_card for column in SAID_OF_A_PUTT)
_NO_PUTT = ("chipped in", "picked up")
ENDS = ("holed", "conceded", "picked up")
_STROKE_KEYS = ("distance", "inches", "result", "leave", *WORD_KEYS)
_ENDING_HINT = (
    "Write how the hole ended: holed, conceded or picked up; chipped in with putts 0; or nothing."
)
_NO_LENGTH = "the length of the first putt is not written"
_MISS_ALLOWED = COLUMN["miss"].allowed
_HANDED = "Push and pull depend on the hand: write left or right."
_BARE_SIDES = {"left": "left", "l": "left", "right": "right", "r": "right"}
_OTHER = {"left": "right", "right": "left"}
_TURNING_TO = {"right": "left to right", "left": "right to left"}
_HIGH_SIDE = {"left to right": "left", "right to left": "right"}
_LOW_SIDE = {"left to right": "right", "right to left": "left"}


@dataclass(eq=False)
class PuttEntry:
    """One putt. ``result`` None: not written, to be inferred from its place in the hole.

    ``values`` holds what the table keeps of it beside its number and result, by column.
    """

    line: Line
    slot: str
    number: int
    result: str | None
    length: Length
    left: Length
    values: dict[str, object]

    @property
    def distance(self) -> float | None:
        """Its length in feet."""
        return self.length.feet

    def key(self, name: str) -> str:
        """Key of this putt's column, as ``slope2`` in a card of a row a hole."""
        if name in ("miss_pace", "miss_side", "cause"):
            own = f"{name}{self.slot}"
            return own if self.line.text(own) else f"miss{self.slot}"
        return "putt" if name == "putt" else f"{COLUMN[name].on_card}{self.slot}"

    def complain(self, name: str, allowed: str, hint: str, what: str) -> None:
        """Write down a problem of this putt."""
        key = self.key(name)
        if name == "result" and "result" in self.line.header.columns:
            key = "result"
        self.line.complain(key, self.line.text(key), allowed, hint, what)


@dataclass(eq=False)
class HoleEntry:
    """One hole of a round. ``ending`` None: it follows from the putts.

    ``shown`` says how the number of putts is known: ``written``, or ``lengths``.
    """

    meta: Meta
    number: int
    par: int | None
    lines: list[Line]
    putts: list[PuttEntry] = field(default_factory=list)
    ending: str | None = None
    shown: str = "written"

    @property
    def bad(self) -> bool:
        """Whether a problem was written down for one of its lines."""
        # Asked of every hole several times: a loop is three times as fast as any() here.
        for line in self.lines:  # noqa: SIM110
            if line.bad:
                return True
        return False

    def steps(self) -> Iterator[tuple[PuttEntry, PuttEntry | None]]:
        """Each putt with the one after it."""
        return zip_longest(self.putts, self.putts[1:])

    def spoil(self) -> None:
        """Leave it out, for a problem that is written down elsewhere."""
        for line in self.lines:
            line.bad = True


class HoleReader:
    """Reads the lines of a card."""

    def __init__(self, options: CardOptions) -> None:
        self._options = options
        self.bare_breaks: list[Place] = []
        self._usual: dict[str | None, str | None] = {}
        self._hands: dict[str | None, str | None] = {}

    def _usual_unit(self, player: str | None) -> str | None:
        if player not in self._usual:
            self._usual[player] = usual_unit(self._options, player)
        return self._usual[player]

    def _hand(self, player: str | None) -> str | None:
        if player not in self._hands:
            handed = self._options.handed
            self._hands[player] = handed(player) if handed and player else None
        return self._hands[player]

    def is_played(self, line: Line) -> bool:
        """Whether anything is written of this hole, or of this putt, beside its number."""
        if line.header.layout == "putts":
            if any(line.text(key) for key in _STROKE_KEYS):
                return True
            return line.text("putt").rstrip("0.,") == "" != line.text("putt")
        chipped = word_for_length(line.text("distance1")) == "chipped in"
        return chipped or bool(line.text("putts") or line.text("result") or self._filled(line))

    def read_hole(self, line: Line, meta: Meta, number: int) -> HoleEntry:
        """Hole of one line, with a putt for each one counted, its length null where not written."""
        ending = _result(line)
        count, ending, shown = self._count(line, meta, ending)
        slots = max([count, *self._filled(line)])
        putts = [self._read_putt(line, str(n), n, meta) for n in range(1, slots + 1)]
        par = line.read_column("par")
        hole = HoleEntry(meta, number, par if isinstance(par, int) else None, [line], shown=shown)
        if not line.bad:
            _check_count(line, count, putts)
            hole.ending = _check_ending(line, count, ending)
            hole.putts = putts[:count]
            _give_results(hole)
        return hole

    def read_putt_line(
        self, line: Line, meta: Meta, number: int, hole: HoleEntry | None
    ) -> HoleEntry:
        """Add the putt of one line to its hole (made when there is none yet)."""
        hole = hole or HoleEntry(meta, number, None, [])
        hole.lines.append(line)
        _read_par(line, hole)
        result = _result(line)
        ordinal = _ordinal(line, result, hole)
        putt = self._read_putt(line, "", ordinal or 0, meta)
        if putt.length.word == "chipped in" and result is None and ordinal in (None, 0, 1):
            result, ordinal = "chipped in", 0
        if ordinal == 0:
            _end_without_putt(line, hole, result)
        elif ordinal is not None:
            if putt.length.word == "conceded" and result is None:
                result = "conceded"
            _add(line, hole, putt, result)
        return hole

    def _filled(self, line: Line) -> list[int]:
        """Numbers of the putts of which anything is written."""
        lengths = self._lengths(line)
        slots = range(1, line.header.last_slot + 1)
        return [n for n in slots if n in lengths or any(line.text(f"{k}{n}") for k in WORD_KEYS)]

    def _lengths(self, line: Line) -> list[int]:
        slots = range(1, line.header.last_slot + 1)
        own = [n for n in slots if line.text(f"distance{n}") or line.text(f"inches{n}")]
        return [n for n in own if not self._says_none(line, n)]

    def _says_none(self, line: Line, number: int) -> bool:
        """Whether the cell of a putt's length says that there was no such putt."""
        text, inches = line.text(f"distance{number}"), line.text(f"inches{number}")
        if not text and is_nothing(inches):
            return True
        if number > 1:
            return is_nothing(text)
        putts = line.text("putts")
        if word_for_length(text) == "chipped in":
            return not putts or is_nothing(putts)
        return is_nothing(text) and is_nothing(putts)

    def _count(self, line: Line, meta: Meta, ending: str | None) -> tuple[int, str | None, str]:
        """Number of putts, how the hole ended, and by what the number is known."""
        text = line.text("putts")
        word = word_for_length(text) or word_for_length(line.text("distance1"))
        if word == "chipped in" and ending in (None, "chipped in", "holed"):
            return 0, "chipped in", "written"
        if text:
            return self._written_count(line), ending, "written"
        lengths = self._lengths(line)
        # One length alone does not say that the putt fell, where the card has a place for the
        # number, or none for a second putt.
        counted = "putts" in line.header.columns or bool(line.header.ticks)
        if lengths and (not counted or max(lengths) > 1):
            return max(lengths), ending, "lengths"
        if ending in _NO_PUTT and not lengths:
            return 0, ending, "written"
        if not lengths and line.bad:
            return 0, ending, "written"
        hint = BY_KEY["putts"].hint
        what = "the number of putts is not written"
        line.complain("putts", "", "a number of putts", hint, what)
        return 0, ending, "written"

    def _written_count(self, line: Line) -> int:
        def count(text: str) -> int:
            plain = re.sub(r"[ -]?putts?$", "", text.casefold()).strip()
            found = BY_KEY["putts"].read(plain or text)
            return found if isinstance(found, int) else 0

        return line.read("putts", count) or 0

    def _read_putt(self, line: Line, slot: str, number: int, meta: Meta) -> PuttEntry:
        """Putt of a line; unreadable cells become problems and stand as unknown."""
        length = self._length(line, f"distance{slot}", putt_length, meta)
        left = self._length(line, f"leave{slot}", leave_length, meta)
        values: dict[str, object] = {"distance_ft": length.feet, "leave_ft": left.feet}
        for column in SAID_OF_A_PUTT:
            if column.kind is not None and column.name not in ("miss_pace", "miss_side"):
                values[column.name] = (
                    self._read_break(line, slot)
                    if column.name == "break"
                    else line.read_column(column.on_card, slot)
                )
        breaking = str(values["break"] or "unknown")
        whose = self._hand(meta.player)
        values["miss_pace"], values["miss_side"] = _miss(line, slot, breaking, whose)
        values["stimp_ft"] = meta.stimp_ft
        return PuttEntry(line, slot, number, None, length, left, values)

    def _read_break(self, line: Line, slot: str) -> object:
        """Break of a putt; a bare left or right is asked about unless the header settles it."""
        key = f"break{slot}"
        side = _BARE_SIDES.get(line.text(key).casefold().rstrip("."))
        if side is None:
            return line.read_column("break", slot)
        at = line.header.columns[key]
        if at.unit not in ("to", "from"):
            line.bad = True
            self.bare_breaks.append(line.place(key))
            return None
        return _TURNING_TO[side] if at.unit == "to" else _TURNING_TO[_OTHER[side]]

    def _length(
        self, line: Line, key: str, reader: Callable[[str, str, float], float], meta: Meta
    ) -> Length:
        text = line.text(key)
        if inches := line.text(key.replace("distance", "inches")) if "distance" in key else "":
            text = self._with_inches(line, key, text, inches)
        if not text:
            return Length()
        if word := word_for_length(text):
            first = key in ("distance1", "distance") and word == "short"
            if not first:
                return Length(word=word, text=text)
        column = line.header.columns.get(key)
        unit = (column and column.unit) or meta.unit
        bare = unit is None and is_bare(text)
        usual = unit or self._usual_unit(meta.player) or "ft"
        try:
            feet = reader(text, usual, self._options.pace_ft)
        except CellError as exc:
            line.refuse(key, text, exc)
            return Length(text=text)
        return Length(feet, bare, "", text, unit)

    def _with_inches(self, line: Line, key: str, feet: str, inches: str) -> str:
        """Feet and inches that stand in two columns, as one length."""
        if is_nothing(inches):
            return feet
        if not feet:
            return f"{inches} in" if is_bare(inches) else inches
        if is_bare(feet) and is_bare(inches):
            return f"{feet} ft {inches} in" if not is_nothing(feet) else f"{inches} in"
        what = f"'{feet}' and '{inches}' are no feet and inches"
        line.complain(key, feet, "a number of feet", "Write numbers in both columns.", what)
        return ""


def _result(line: Line) -> str | None:
    found = line.read_column("result")
    return found if isinstance(found, str) else None


def _check_count(line: Line, count: int, putts: Sequence[PuttEntry]) -> None:
    if count > 0 and putts[0].distance is None:
        line.complain(
            "distance1",
            line.text("distance1"),
            "the length of the first putt",
            "Write it (12, 3.7 m, 8 paces); later putts may go without.",
            _NO_LENGTH,
        )
    for extra in putts[count:]:
        key = _first_filled(line, extra.slot)
        line.complain(
            key,
            line.text(key) if key else "",
            f"nothing, as putts is {count}",
            f"Write putts {extra.number}, or clear this cell.",
            f"something is written about putt {extra.number}, but putts is {count}",
        )


def _first_filled(line: Line, slot: str) -> str | None:
    keys = [key for key in line.header.columns if key.endswith(slot) and line.text(key)]
    return next((key for key in keys if key.rstrip("0123456789") == key.removesuffix(slot)), None)


def _check_ending(line: Line, count: int, ending: str | None) -> str | None:
    if count == 0:
        fine, default = ("chipped in", "picked up", "holed"), "chipped in"
        chosen = default if ending in (None, "holed") else ending
    else:
        fine = ("holed", "conceded", "picked up")
        chosen = ending or "holed"
    if ending is not None and ending not in fine:
        allowed = f"an ending for putts {count}: {', '.join(fine)} or blank"
        line.complain("result", line.text("result"), allowed, _ENDING_HINT)
    return chosen


def _give_results(hole: HoleEntry) -> None:
    for putt in hole.putts:
        putt.result = "missed"
    if not hole.putts:
        return
    if hole.putts[-1].length.word == "conceded" and hole.ending == "holed":
        hole.ending = "conceded"
    if hole.ending != "picked up":
        hole.putts[-1].result = hole.ending
    # Lengths of later putts may stand as what was left before them.
    for putt, following in hole.steps():
        if following is not None and following.distance is None and putt.left.feet:
            following.length = putt.left
            following.values["distance_ft"] = putt.left.feet


def _read_par(line: Line, hole: HoleEntry) -> None:
    par = line.read_column("par")
    if not isinstance(par, int):
        return
    if hole.par not in (None, par):
        what = f"hole {hole.number} has par {hole.par} further up"
        line.complain("par", line.text("par"), f"par {hole.par}", "Write one par a hole.", what)
    hole.par = hole.par or par


def _ordinal(line: Line, result: str | None, hole: HoleEntry) -> int | None:
    def number(text: str) -> int:
        found = 0 if is_nothing(text) else BY_KEY["putt"].read(text)
        return found if isinstance(found, int) else 0

    ordinal = line.read("putt", number)
    if result == "chipped in" and not line.text("distance") and ordinal in (None, 1):
        return 0
    if line.text("putt"):
        return ordinal
    if result == "picked up" and not line.text("distance"):
        return 0
    if hole.putts:
        return hole.putts[-1].number + 1
    what = "the number of the putt is not written"
    line.complain("putt", "", "the number of a putt", BY_KEY["putt"].hint, what)
    return None


def _end_without_putt(line: Line, hole: HoleEntry, result: str | None) -> None:
    chipped = word_for_length(line.text("distance")) == "chipped in"
    keys = [key for key in _STROKE_KEYS if key != "result" and not (chipped and key == "distance")]
    filled = next((key for key in keys if line.text(key)), None)
    if filled is not None:
        what = f"hole {hole.number} stands without a putt (putt 0), yet something is written here"
        line.complain(filled, line.text(filled), "nothing", "Clear it, or count the putt.", what)
    elif result not in (None, "holed", *_NO_PUTT):
        allowed = "chipped in, picked up or blank, as the putt is 0"
        line.complain("result", line.text("result"), allowed, "Write chipped in or picked up.")
    elif hole.ending is not None:
        what = f"hole {hole.number} stands in row {hole.lines[0].row.number} already"
        line.complain("hole", line.text("hole"), "each hole once", "Delete one of the two.", what)
    hole.ending = result if result in _NO_PUTT else "chipped in"


def _add(line: Line, hole: HoleEntry, putt: PuttEntry, result: str | None) -> None:
    if result == "chipped in":
        what = "a hole that was chipped in has no putt"
        hint = "Write putt 0 and no length; for a putt that went in write holed."
        line.complain("result", line.text("result"), "a result of a putt", hint, what)
        return
    putt.result = result
    hole.putts.append(putt)


def ask_about_numbered(line: Line, hole: HoleEntry) -> None:
    """Write down an empty row that may stand for a putt of the hole; it then belongs to it."""
    number = line.read_column("putt")
    if line.bad:
        hole.lines.append(line)
    last = max(hole.putts, key=lambda putt: putt.number, default=None)
    if last is None or not isinstance(number, int) or number <= last.number or last.result in ENDS:
        return
    hole.lines.append(line)
    line.complain(
        "putt",
        line.text("putt"),
        "a putt with its length, or no number",
        f"Write its length, or 'holed' as its result; if putt {last.number} was holed, write that "
        "there or clear this number.",
        f"putt {number} of hole {hole.number} is numbered, but nothing is written about it",
    )


def finish(hole: HoleEntry) -> None:
    """Order the putts of a gathered hole and infer blank results."""
    hole.putts.sort(key=lambda putt: putt.number)
    if hole.bad:
        return
    if hole.ending is not None and hole.putts:
        line = hole.putts[0].line
        what = f"hole {hole.number} has a putt here, but stands elsewhere as without one"
        line.complain("putt", line.text("putt"), "either", "Delete one of the two rows.", what)
        return
    if not hole.putts:
        return
    *before, last = hole.putts
    for putt in before:
        putt.result = putt.result or "missed"
    if last.result == "missed":
        what = f"hole {hole.number} ends with a missed putt"
        hint = "Add the row of the next putt, or write picked up."
        last.complain("result", "how the hole ended", hint, what)
    if last.result is None:
        hole.shown = "lengths"
    hole.ending = last.result or "holed"
    last.result = "missed" if hole.ending == "picked up" else hole.ending


def _miss(
    line: Line, slot: str, breaking: str, handed: str | None
) -> tuple[str | None, str | None]:
    if not any(line.text(name + slot) for name in ("miss", "miss_pace", "miss_side")):
        return None, None
    both = line.read(f"miss{slot}", lambda text: read_miss(_sided(text, handed), breaking))
    pace = line.read_column("miss_pace", slot)
    side = line.read(f"miss_side{slot}", lambda text: read_side(_sided(text, handed), breaking))
    if both is not None:
        for name, one, other in (("miss_pace", pace, both[0]), ("miss_side", side, both[1])):
            if one and other and one != other:
                key = f"{name}{slot}"
                written = line.header.written(f"miss{slot}")
                what = f"'{one}' here, but '{other}' in column '{written}'"
                hint = "Write the miss in one place only."
                line.complain(key, line.text(key), "the same miss", hint, what)
        pace, side = pace or both[0], side or both[1]
    return (pace if isinstance(pace, str) else None), side


def read_side(text: str, breaking: str) -> str:
    """Side of a miss; high and low are resolved with the break of the same putt.

    Raises
    ------
    CellError
        No side, or high or low without a break.
    """
    column = COLUMN["miss_side"]
    hint = _HANDED if _is_handed(text) else column.hint
    return _resolved(read_word(text, column.spellings, column.allowed, hint), breaking)


def read_miss(text: str, breaking: str) -> tuple[str | None, str | None]:
    """Pace and side of a miss written in one cell, such as ``short left``.

    Raises
    ------
    CellError
        Another word, two of a kind, or high or low without a break.
    """
    hint = _HANDED if _is_handed(text) else COLUMN["miss"].hint
    paces, sides = COLUMN["miss_pace"].spellings, COLUMN["miss_side"].spellings
    pace: str | None = None
    side: str | None = None
    words = _miss_words(text)
    if not words:
        raise CellError(_MISS_ALLOWED, hint)
    for word in words:
        if word in sides and side is None:
            side = sides[word]
        elif word in paces and pace is None:
            pace = paces[word] or None
        else:
            raise CellError(_MISS_ALLOWED, hint)
    return pace, None if side is None else _resolved(side, breaking)


def _miss_words(text: str) -> list[str]:
    plain = text.casefold()
    for phrase, word in (
        ("left it ", ""),
        ("side", " "),
        ("on line", "online"),
        ("on-line", "online"),
    ):
        plain = plain.replace(phrase, word)
    left_out = ("", "and", "missed", "just", "slightly", "bit", "a", "little", "it")
    return [word for word in re.split(r"[\s,;/&+_.–—-]+", plain) if word not in left_out]


def _sided(text: str, handed: str | None) -> str:
    """A miss with push and pull as left and right, where it is known how the player putts."""
    if handed is None:
        return text
    pull, push = ("left", "right") if handed == "right" else ("right", "left")
    text = re.sub(r"\bpull(?:ed)?\b", pull, text, flags=re.IGNORECASE)
    return re.sub(r"\bpush(?:ed)?\b", push, text, flags=re.IGNORECASE)


def _is_handed(text: str) -> bool:
    return bool(re.search(r"push|pull", text.casefold()))


def _resolved(side: str, breaking: str) -> str:
    if side not in ("high", "low"):
        return side
    sides = _HIGH_SIDE if side == "high" else _LOW_SIDE
    if breaking not in sides:
        raise CellError(
            COLUMN["miss_side"].allowed,
            "Write the break (L-R or R-L), or left or right in place of high or low.",
            f"'{side}' needs a break to say which side it was, and here the break is {breaking}",
        )
    return sides[breaking]

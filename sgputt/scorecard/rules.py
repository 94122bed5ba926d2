"""Rules that hold between the putts of a hole and between the holes of a round."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from sgputt.putts.table import LEAVE_TOLERANCE_FT
from sgputt.scorecard.entries import HoleEntry, PuttEntry
from sgputt.scorecard.fields import RowView
from sgputt.scorecard.meta import UNKNOWN, Meta

LAST_REGULAR = 18

_GAP_HINT = (
    "Add its row: putts 0 if it was chipped in, result 'picked up' if the ball was lifted; "
    "or leave the row blank beside its hole number if it was not played."
)


@dataclass
class RoundEntry:
    """Rows of one player, date and round.

    ``blank`` rows name a hole that was not played; ``loose`` rows cannot be given to a hole.
    """

    meta: Meta
    holes: list[HoleEntry] = field(default_factory=list)
    blank: list[tuple[int, RowView]] = field(default_factory=list)
    loose: list[RowView] = field(default_factory=list)

    @property
    def views(self) -> list[RowView]:
        """All rows of the round."""
        return [*self.written, *(view for _, view in self.blank)]

    @property
    def written(self) -> list[RowView]:
        """Rows with something to read in them."""
        return [*(view for hole in self.holes for view in hole.views), *self.loose]


def check_round(entry: RoundEntry) -> None:
    """Write down what is wrong with a round as a whole and with its holes."""
    for hole in entry.holes:
        if not hole.bad:
            _check_putts(hole)
    if _check_one(entry, "course") and _check_one(entry, "event"):
        _check_once(entry)
        if not entry.loose:
            _check_gaps(entry)
            _check_play_off(entry)


def _check_putts(hole: HoleEntry) -> None:
    for putt, following in hole.steps():
        _check_miss(putt)
        _check_leave(putt, following)


def _check_miss(putt: PuttEntry) -> None:
    if putt.result == "missed":
        return
    for key, value in (
        ("miss_pace", putt.miss_pace),
        ("miss_side", putt.miss_side),
        ("cause", putt.cause),
    ):
        if value in (None, "unknown", "none"):
            continue
        both = putt.view_key("miss")
        stands = putt.view_key(key) if putt.view.text(putt.view_key(key)) else both
        putt.view.complain(
            stands,
            putt.view.text(stands),
            "nothing, as this putt was not missed",
            "Clear it, or count one putt more.",
            f"putt {putt.number} was {putt.result}, yet a miss is written",
        )
        break
    putt.miss_pace = putt.miss_side = putt.cause = None


def _check_leave(putt: PuttEntry, following: PuttEntry | None) -> None:
    if putt.leave is None:
        return
    after = 0.0 if putt.result != "missed" else following.distance if following else None
    if after is not None:
        contradicts = abs(putt.leave - after) > LEAVE_TOLERANCE_FT
    else:
        contradicts = putt.leave == 0
    if contradicts:
        said = (
            "nothing is left" if after == 0 else f"the next putt is {after:g} ft" if after else ""
        )
        what = f"the leave is {putt.leave:g} ft, but " + (said or "the putt was missed")
        hint = "Write the same length in both places, or leave the leave blank."
        putt.complain("leave", putt.view.text("leave"), "the length of the next putt", hint, what)


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
    view = hole.views[0]
    hint = "Give the second round a 2 in the column 'round'"
    if "round" not in view.header.columns:
        hint = "Add a column 'round' with 1 and 2 if these are two rounds"
    what = f"one round has two {key}s, '{was}' and '{now}'"
    view.complain(key, now, f"one {key} a round", f"{hint}, or mend the {key}.", what)
    for each in entry.holes:
        for row in each.views:
            row.bad = True


def _check_once(entry: RoundEntry) -> None:
    seen: dict[int, HoleEntry] = {}
    for hole in entry.holes:
        first = seen.setdefault(hole.number, hole)
        if first is hole:
            continue
        view = hole.views[0]
        what = f"hole {hole.number} stands in row {first.views[0].row.number} already"
        hint = "Mend the number; for a second round that day fill the column 'round' (1 and 2)."
        view.complain("hole", view.text("hole"), "each hole once a round", hint, what)
        for row in first.views:
            row.bad = True


def _check_gaps(entry: RoundEntry) -> None:
    played = [hole for hole in _first_seen(entry) if hole.number <= LAST_REGULAR]
    excused = {number for number, _ in entry.blank}
    for number, after in _skipped([hole.number for hole in played]):
        if number in excused:
            continue
        view = next(hole for hole in played if hole.number == after).views[0]
        view.ledger.add(
            view.row.number,
            view.header.written("hole"),
            view.text("hole"),
            f"hole {number} before hole {after}",
            _GAP_HINT,
            what=f"hole {number} is missing",
        )


def _first_seen(entry: RoundEntry) -> list[HoleEntry]:
    seen: dict[int, HoleEntry] = {}
    for hole in entry.holes:
        seen.setdefault(hole.number, hole)
    return list(seen.values())


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
        view = extra[min(n for n in extra if n > number)].views[0]
        what = f"play-off hole {number} is missing"
        hint = "Count the holes of a play-off 19, 20, 21."
        view.complain("hole", view.text("hole"), f"hole {number} first", hint, what)

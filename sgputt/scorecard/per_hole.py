"""Cards of a row a hole: ``putts, putt1, putt2, ...``."""

from __future__ import annotations

from sgputt.scorecard.entries import HoleEntry, PuttCells, PuttEntry
from sgputt.scorecard.fields import RowView, par_of, putt_count
from sgputt.scorecard.meta import Meta
from sgputt.scorecard.words import read_result

_NO_PUTT = ("chipped in", "picked up")
_ENDING_HINT = (
    "Write how the hole ended: holed, conceded or picked up; chipped in with putts 0; or nothing."
)


def is_played(view: RowView, cells: PuttCells) -> bool:
    """Whether anything beside the hole number and par is written for this hole."""
    return bool(view.text("putts") or view.text("result")) or bool(_filled_slots(view, cells))


def read_hole(view: RowView, meta: Meta, number: int, cells: PuttCells) -> HoleEntry:
    """Hole of one row, with a putt for each one counted, its length null where not written."""
    ending = view.read("result", read_result)
    count = _count(view, ending)
    slots = max([count, *_filled_slots(view, cells)])
    putts = [cells.read(view, str(n), n, meta.stimp_ft) for n in range(1, slots + 1)]
    hole = HoleEntry(meta, number, view.read("par", par_of), [view])
    if not view.bad:
        _check_count(view, count, putts)
        hole.ending = _check_ending(view, count, ending)
        hole.putts = putts[:count]
        _give_results(hole)
    return hole


def counted_from_lengths(view: RowView) -> bool:
    """Whether the number of putts had to be taken from the lengths although it has a column."""
    has_column = "putts" in view.header.columns
    return has_column and not view.text("putts") and bool(view.text("distance1"))


def _filled_slots(view: RowView, cells: PuttCells) -> list[int]:
    return [n for n in range(1, view.header.last_slot + 1) if cells.is_filled(view, str(n))]


def _count(view: RowView, ending: str | None) -> int:
    if view.text("putts"):
        return view.read("putts", putt_count) or 0
    lengths = [n for n in range(1, view.header.last_slot + 1) if view.text(f"distance{n}")]
    # One length alone does not say that the putt fell, where the card has a place for the number.
    shown = lengths and ("putts" not in view.header.columns or max(lengths) > 1)
    if shown or (ending in _NO_PUTT and not lengths):
        return max(lengths, default=0)
    hint = "Write how many putts the hole took; 0 when it was chipped in."
    view.complain("putts", "", "a number of putts", hint, "the number of putts is not written")
    return 0


def _check_count(view: RowView, count: int, putts: list[PuttEntry]) -> None:
    if count > 0 and putts[0].distance is None:
        view.complain(
            "distance1",
            view.text("distance1"),
            "the length of the first putt",
            "Write it (12, 3.7 m, 8 paces); later putts may go without.",
            "the length of the first putt is not written",
        )
    for extra in putts[count:]:
        key = _first_filled(view, extra.slot)
        view.complain(
            key,
            view.text(key) if key else "",
            f"nothing, as putts is {count}",
            f"Write putts {extra.number}, or clear this cell.",
            f"something is written about putt {extra.number}, but putts is {count}",
        )


def _first_filled(view: RowView, slot: str) -> str | None:
    keys = [key for key in view.header.columns if key.endswith(slot) and view.text(key)]
    return next((key for key in keys if key.rstrip("0123456789") == key.removesuffix(slot)), None)


def _check_ending(view: RowView, count: int, ending: str | None) -> str | None:
    if count == 0:
        fine, default = ("chipped in", "picked up", "holed"), "chipped in"
        chosen = default if ending in (None, "holed") else ending
    else:
        fine = ("holed", "conceded", "picked up")
        chosen = ending or "holed"
    if ending is not None and ending not in fine:
        allowed = f"an ending for putts {count}: {', '.join(fine)} or blank"
        view.complain("result", view.text("result"), allowed, _ENDING_HINT)
    return chosen


def _give_results(hole: HoleEntry) -> None:
    for putt in hole.putts:
        putt.result = "missed"
    if hole.putts and hole.ending != "picked up":
        hole.putts[-1].result = hole.ending

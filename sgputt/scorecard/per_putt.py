"""Cards of a row a putt: rows gathered into holes, results inferred where not written."""

from __future__ import annotations

from sgputt.scorecard.entries import WORD_KEYS, HoleEntry, PuttCells, PuttEntry
from sgputt.scorecard.fields import RowView, par_of, putt_number
from sgputt.scorecard.meta import Meta
from sgputt.scorecard.words import read_result

_NO_PUTT = ("chipped in", "picked up")
ENDS = ("holed", "conceded", "picked up")
_STROKE_KEYS = ("distance", "result", "leave", *WORD_KEYS)


def is_played(view: RowView) -> bool:
    """Whether anything beside the numbers of hole and putt is written, or the putt is 0."""
    if any(view.text(key) for key in _STROKE_KEYS):
        return True
    return view.text("putt").rstrip("0.,") == "" != view.text("putt")


def read_line(
    view: RowView, meta: Meta, number: int, cells: PuttCells, hole: HoleEntry | None
) -> HoleEntry:
    """Add the putt of one row to its hole (made when there is none yet)."""
    hole = hole or HoleEntry(meta, number, None, [])
    hole.views.append(view)
    _read_par(view, hole)
    result = view.read("result", read_result)
    ordinal = _ordinal(view, result, hole)
    putt = cells.read(view, "", ordinal or 0, meta.stimp_ft)
    if ordinal == 0:
        _end_without_putt(view, hole, result)
    elif ordinal is not None:
        _add(view, hole, putt, result)
    return hole


def _read_par(view: RowView, hole: HoleEntry) -> None:
    par = view.read("par", par_of)
    if par is None:
        return
    if hole.par not in (None, par):
        what = f"hole {hole.number} has par {hole.par} further up"
        view.complain("par", view.text("par"), f"par {hole.par}", "Write one par a hole.", what)
    hole.par = hole.par or par


def _ordinal(view: RowView, result: str | None, hole: HoleEntry) -> int | None:
    ordinal = view.read("putt", putt_number)
    if result == "chipped in" and not view.text("distance") and ordinal in (None, 1):
        return 0
    if view.text("putt"):
        return ordinal
    if result == "picked up" and not view.text("distance"):
        return 0
    if hole.putts:
        return hole.putts[-1].number + 1
    hint = "Count the putts of a hole 1, 2, 3; write 0 for a hole without a putt."
    view.complain("putt", "", "the number of a putt", hint, "the number of the putt is not written")
    return None


def _end_without_putt(view: RowView, hole: HoleEntry, result: str | None) -> None:
    filled = next((key for key in _STROKE_KEYS if key != "result" and view.text(key)), None)
    if filled is not None:
        what = f"hole {hole.number} stands without a putt (putt 0), yet something is written here"
        view.complain(filled, view.text(filled), "nothing", "Clear it, or count the putt.", what)
    elif result not in (None, "holed", *_NO_PUTT):
        allowed = "chipped in, picked up or blank, as the putt is 0"
        view.complain("result", view.text("result"), allowed, "Write chipped in or picked up.")
    elif hole.ending is not None:
        what = f"hole {hole.number} stands in row {hole.views[0].row.number} already"
        view.complain("hole", view.text("hole"), "each hole once", "Delete one of the two.", what)
    hole.ending = result if result in _NO_PUTT else "chipped in"


def _add(view: RowView, hole: HoleEntry, putt: PuttEntry, result: str | None) -> None:
    if result == "chipped in":
        what = "a hole that was chipped in has no putt"
        hint = "Write putt 0 and no length; for a putt that went in write holed."
        view.complain("result", view.text("result"), "a result of a putt", hint, what)
        return
    putt.result = result
    hole.putts.append(putt)


def may_be_struck(view: RowView, hole: HoleEntry) -> bool:
    """Whether an empty row may stand for a putt of the hole; it is then written down."""
    number = view.read("putt", putt_number)
    last = max(hole.putts, key=lambda putt: putt.number, default=None)
    if last is None or number is None or number <= last.number or last.result in ENDS:
        return False
    view.complain(
        "putt",
        view.text("putt"),
        "a putt with its length, or no number",
        f"Write its length, or 'holed' as its result; if putt {last.number} was holed, write that "
        "there or clear this number.",
        f"putt {number} of hole {hole.number} is numbered, but nothing is written about it",
    )
    return True


def finish(hole: HoleEntry) -> None:
    """Order the putts of a gathered hole, check that they run 1 to n, infer blank results."""
    hole.putts.sort(key=lambda putt: putt.number)
    if hole.bad:
        return
    if hole.ending is not None and hole.putts:
        view = hole.putts[0].view
        what = f"hole {hole.number} has a putt here, but stands elsewhere as without one"
        view.complain("putt", view.text("putt"), "either", "Delete one of the two rows.", what)
        return
    _check_run(hole)
    if not hole.bad and hole.putts:
        _infer(hole)


def _check_run(hole: HoleEntry) -> None:
    allowed = "the putts of a hole, each once, counted 1, 2, 3"
    for index, putt in enumerate(hole.putts, start=1):
        earlier = hole.putts[index - 2] if index > 1 else None
        if earlier is not None and earlier.number == putt.number:
            where = earlier.view.row.number
            what = f"putt {putt.number} of hole {hole.number} stands in row {where} too"
            hint = "Count the putts 1, 2, 3; for a second round that day fill the column 'round'."
        elif putt.number > (earlier.number if earlier else 0) + 1:
            what = f"putt {(earlier.number if earlier else 0) + 1} of hole {hole.number} is missing"
            hint = "Add its row, or count the putts from 1."
        elif index == 1 and putt.distance is None:
            putt.complain("distance", "", "the length of the first putt", _LENGTH_HINT, _NO_LENGTH)
            continue
        else:
            continue
        putt.complain("putt", putt.view.text("putt"), allowed, hint, what)


_NO_LENGTH = "the length of the first putt is not written"
_LENGTH_HINT = "Write it (12, 3.7 m, 8 paces); for a hole without a putt write putt 0."


def _infer(hole: HoleEntry) -> None:
    *before, last = hole.putts
    for putt in before:
        _check_not_over(hole, putt)
        putt.result = "missed"
    if last.result == "missed":
        what = f"hole {hole.number} ends with a missed putt"
        hint = "Add the row of the next putt, or write picked up."
        last.complain("result", last.view.text("result"), "how the hole ended", hint, what)
    hole.ending = last.result or "holed"
    last.result = "missed" if hole.ending == "picked up" else hole.ending


def _check_not_over(hole: HoleEntry, putt: PuttEntry) -> None:
    if putt.result in (None, "missed"):
        return
    what = (
        f"hole {hole.number} was over with putt {putt.number} ({putt.result}), yet a putt follows"
    )
    hint = "Write missed here, or delete the rows after it."
    putt.complain("result", putt.view.text("result"), "missed or blank", hint, what)

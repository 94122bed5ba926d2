"""What can hardly be true, or can be read in two ways: asked once a card, with every place.

What is asked about is not stored until it is settled, by an option or on the card.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Protocol

from sgputt.putts.columns import LAST_REGULAR
from sgputt.putts.values import HOLE_IN
from sgputt.scorecard.card import CardOptions, usual_unit
from sgputt.scorecard.cells import is_bare
from sgputt.scorecard.holes import HoleEntry, PuttEntry
from sgputt.scorecard.problem import Ledger, Place, numbered

if TYPE_CHECKING:
    from sgputt.scorecard.card import Meta

# All of these are choices: what a round of a golfer hardly ever shows.
_LONG_LATER_FT = 10.0
_LONG_LATER_SHARE = (0.75, 15.0)
_FAR_PAST = (3.0, 6.0)
_LONG_GIVEN_FT = 30.0
_MANY_PUTTS = 8
_MANY_WITHOUT = 5
_HOLED_FROM_FT = 20.0
_PLAY_OFF = 5
# Mean first putt, in feet: 18 greens of anybody give more, 18 greens in metres less.
_METRES_BELOW = 9.0
_FEET_ABOVE = 40.0
_METRES_WITH_DECIMALS_BELOW = 12.0
_ENOUGH = 6
_WHOLE_PARTS = (0.0, 0.25, 0.5, 0.75)
_BEYOND_LUCK = 3.5
# Half of the putts from here fall, about as among the best; only to find the absurd.
_HALF_HOLED_FT = 8.0

# For the card on a phone, which asks the same.
LIMITS = {
    "long_later_ft": _LONG_LATER_FT,
    "share_of_before": _LONG_LATER_SHARE[0],
    "share_from_ft": _LONG_LATER_SHARE[1],
    "times_before": _FAR_PAST[0],
    "times_from_ft": _FAR_PAST[1],
    "long_given_ft": _LONG_GIVEN_FT,
    "many_putts": _MANY_PUTTS,
    "aim_from_in": HOLE_IN / 2,
}
_AS_WRITTEN = "If it is so, say --as-written (or write 'As written: yes' above the card)."


class CheckedRound(Protocol):
    """What is asked about: a round with its holes."""

    meta: Meta
    holes: list[HoleEntry]


Found = tuple[HoleEntry, Place, str]


def ask(rounds: Iterable[CheckedRound], options: CardOptions, ledger: Ledger) -> None:
    """Write down every question of a card, and leave out what it concerns."""
    entries = list(rounds)
    _ask_units(entries, options, ledger)
    for find, what, allowed, hint in _QUESTIONS:
        found = [
            each
            for entry in entries
            for each in find(entry)
            if not each[0].bad and not each[0].meta.as_written
        ]
        if found:
            said = found[0][2]
            more = len(found) - 1
            said += f" (and {more} more like it)" if more and what else ""
            ledger.ask([place for _, place, _ in found], allowed, f"{hint} {_AS_WRITTEN}", said)
        for hole, _, _ in found:
            hole.spoil()


def _good(entry: CheckedRound) -> list[HoleEntry]:
    return [hole for hole in entry.holes if not hole.bad]


def _place(putt: PuttEntry, name: str = "distance_ft") -> Place:
    return putt.line.place(putt.key(name))


def _later_putts(entry: CheckedRound) -> Iterable[Found]:
    for hole in _good(entry):
        for putt, following in hole.steps():
            if following is None or putt.distance is None or following.distance is None:
                continue
            before, after = putt.distance, following.distance
            share, least = _LONG_LATER_SHARE
            times, far = _FAR_PAST
            if (
                (after > before and after > _LONG_LATER_FT)
                or (after > share * before and after > least)
                or (after > times * before and after > far)
            ):
                said = (
                    f"hole {hole.number}: a putt of {after:.3g} ft follows one of {before:.3g} ft"
                )
                yield hole, _place(following), said


def _given(entry: CheckedRound) -> Iterable[Found]:
    for hole in _good(entry):
        for putt in hole.putts[-1:]:
            if putt.result == "conceded" and (putt.distance or 0) > _LONG_GIVEN_FT:
                said = f"hole {hole.number}: a putt of {putt.distance:.3g} ft was conceded"
                yield hole, _place(putt), said


def _many(entry: CheckedRound) -> Iterable[Found]:
    for hole in _good(entry):
        if len(hole.putts) >= _MANY_PUTTS:
            line = hole.lines[0]
            key = "putts" if line.header.layout == "holes" else "putt"
            yield hole, line.place(key), f"hole {hole.number} took {len(hole.putts)} putts"


def _without(entry: CheckedRound) -> Iterable[Found]:
    """Holes with 0 putts, which a spreadsheet also writes for a hole that was not played."""
    good = _good(entry)
    none = [
        hole
        for hole in good
        if hole.lines
        and not hole.putts
        and not hole.lines[0].text("result")
        and hole.lines[0].header.layout == "holes"
        and re.fullmatch(r"0+([.,]0+)?", hole.lines[0].text("putts"))
    ]
    # Of one stretch of the round, before or after which there were putts.
    numbers = sorted(hole.number for hole in none)
    one_stretch = bool(numbers) and numbers[-1] - numbers[0] + 1 == len(numbers)
    if one_stretch and _MANY_WITHOUT <= len(none) < len(good):
        which = numbered([hole.number for hole in none], "hole")
        said = f"{which} took no putt at all: chipped in, or not played?"
        for hole in none:
            yield hole, hole.lines[0].place("putts"), said


def _is_counted(hole: HoleEntry) -> bool:
    """Whether a hole of a card of a row a hole has no more than lengths to count its putts by."""
    line = hole.lines[0] if hole.lines else None
    return (
        line is not None
        and hole.shown == "lengths"
        and line.header.layout == "holes"
        and not line.text("result")
    )


def _holed_by_silence(entry: CheckedRound) -> Iterable[Found]:
    """Long putts holed only in that nothing is written of a second one."""
    for hole in _good(entry):
        if _is_counted(hole) and len(hole.putts) == 1:
            (putt,) = hole.putts
            if putt.result == "holed" and (putt.distance or 0) > _HOLED_FROM_FT:
                said = (
                    f"hole {hole.number} would be holed from {putt.distance:.3g} ft, as nothing "
                    "is written of a second putt"
                )
                yield hole, _place(putt), said


def _one_putts(entry: CheckedRound) -> Iterable[Found]:
    """More one-putts than anybody holes from there, where nobody has written their number."""
    known = [
        hole for hole in _good(entry) if hole.putts and hole.putts[0].distance and _is_counted(hole)
    ]
    chances = [1 / (1 + ((hole.putts[0].distance or 0) / _HALF_HOLED_FT) ** 2) for hole in known]
    ones = [hole for hole in known if len(hole.putts) == 1 and hole.putts[0].result == "holed"]
    spread = math.sqrt(sum(p * (1 - p) for p in chances))
    if len(known) < _ENOUGH or len(ones) - sum(chances) <= _BEYOND_LUCK * spread + 0.5:
        return
    mean = sum(hole.putts[0].distance or 0 for hole in ones) / len(ones)
    said = (
        f"{len(ones)} of {len(known)} holes took one putt, from {mean:.0f} ft on average, where "
        f"about {sum(chances):.0f} could be expected"
    )
    for hole in ones:
        yield hole, _place(hole.putts[0]), said


def _aims(entry: CheckedRound) -> Iterable[Found]:
    for hole in _good(entry):
        for putt in hole.putts:
            aim, breaking = putt.values.get("break_in"), putt.values.get("break")
            if not isinstance(aim, float) or abs(aim) <= HOLE_IN / 2:
                continue
            if (breaking, aim > 0) in (("left to right", False), ("right to left", True)):
                side = "left" if aim > 0 else "right"
                said = f"hole {hole.number}: aimed {side} of the hole on a putt breaking {breaking}"
                yield hole, _place(putt, "break_in"), said


def _long_play_off(entry: CheckedRound) -> Iterable[Found]:
    extra = [hole for hole in _good(entry) if hole.number > LAST_REGULAR]
    if len(extra) > _PLAY_OFF:
        which = numbered([hole.number for hole in extra], "hole")
        said = f"{which}: a play-off of {len(extra)} holes, or a second round?"
        for hole in entry.holes:
            if not hole.bad and hole.lines:
                yield hole, hole.lines[0].place("hole"), said


_QUESTIONS: tuple[tuple[Callable[[CheckedRound], Iterable[Found]], str, str, str], ...] = (
    (
        _later_putts,
        "each",
        "a later putt shorter than the one before it",
        "Correct the length.",
    ),
    (
        _given,
        "each",
        f"a conceded putt of at most {_LONG_GIVEN_FT:.0f} ft",
        "Correct the length or the result.",
    ),
    (_many, "each", f"fewer than {_MANY_PUTTS} putts", "Correct the number of putts."),
    (
        _without,
        "",
        "blank where a hole was not played",
        "Clear the 0 of holes that were not played; write 'chipped in' as the result of others.",
    ),
    (
        _one_putts,
        "",
        "the number of putts of each hole",
        "Write how many putts each hole took (a column 'putts').",
    ),
    (
        _holed_by_silence,
        "each",
        "the number of putts, or 'holed' as the result",
        "Write how many putts it took (a column 'putts'), or 'holed' as the result.",
    ),
    (
        _aims,
        "each",
        "an aim on the high side",
        "Correct the break or the aim.",
    ),
    (
        _long_play_off,
        "",
        "holes 1 to 18 of each round",
        "For a second round that day number its holes from 1 and fill the column 'round'.",
    ),
)


def _ask_units(entries: Sequence[CheckedRound], options: CardOptions, ledger: Ledger) -> None:
    """Ask for the unit where nothing says it and the lengths are hardly feet."""
    doubtful: list[CheckedRound] = []
    what = ""
    for entry in entries:
        if entry.meta.as_written:
            continue
        putts = [putt for hole in _good(entry) for putt in hole.putts]
        bare = [putt for putt in putts if putt.length.bare]
        if usual := usual_unit(options, entry.meta.player):
            if _too_long_on_average(bare):
                what = what or (
                    f"no unit is written, and read in {usual}, as is usual for {entry.meta.player},"
                    " the first putts would be very long"
                )
                doubtful.append(entry)
            continue
        metric = [p for p in putts if not p.length.bare and _metric_unit_of(p)]
        feet = [p for p in putts if not p.length.bare and p.length.text and p not in metric]
        if bare and metric and not feet:
            said = _metric_unit_of(metric[0])
            what = f"some lengths have a unit ({said}), others none: these may be metres or feet"
            doubtful.append(entry)
        elif bare and _looks_like_metres(bare):
            firsts = [putt.distance or 0 for putt in bare if putt.number == 1]
            mean = sum(firsts) / len(firsts)
            what = what or (
                f"no unit is written, and first putts are {mean:.2g} on average: metres, paces or "
                "feet?"
            )
            doubtful.append(entry)
    if not doubtful:
        return
    asked = [
        (hole, putt)
        for entry in doubtful
        for hole in _good(entry)
        for putt in hole.putts
        if putt.length.bare
    ]
    ledger.ask(
        [_place(putt) for _, putt in asked],
        "lengths with their unit",
        "Say --unit m, --unit paces or --unit ft, or write it in the header (putt1_m) or above it "
        "(Unit: m).",
        what,
    )
    for hole, _ in asked:
        hole.spoil()


def _too_long_on_average(bare: Sequence[PuttEntry]) -> bool:
    firsts = [putt.distance or 0.0 for putt in bare if putt.number == 1]
    return len(firsts) >= _ENOUGH // 2 and sum(firsts) / len(firsts) > _FEET_ABOVE


def _metric_unit_of(putt: PuttEntry) -> str | None:
    """Where a length says that it is metric, in its cell or above it; None where it is not."""
    if is_bare(putt.length.text):
        metric = putt.length.unit in ("m", "cm")
        return putt.line.header.written(putt.key("distance_ft")) if metric else None
    return putt.length.text if _is_metric(putt.length.text) else None


def _is_metric(text: str) -> bool:
    return bool(
        re.search(r"[0-9½¼¾] ?(?:m|cm|met(?:re|er)s?|centimet(?:re|er)s?)\.?$", text.casefold())
    )


def _looks_like_metres(bare: Sequence[PuttEntry]) -> bool:
    firsts = [putt.distance or 0.0 for putt in bare if putt.number == 1]
    later = [putt.distance or 0.0 for putt in bare if putt.number > 1 and putt.distance]
    if len(firsts) < _ENOUGH // 2:
        return False
    mean = sum(firsts) / len(firsts)
    if len(set(firsts)) < 3:
        # All of one length: no round of anybody, and no sign of a unit.
        return False
    if len(firsts) >= _ENOUGH and mean < _METRES_BELOW:
        return True
    every = [*firsts, *later]
    odd = sum(round(length % 1, 3) not in _WHOLE_PARTS for length in every)
    tiny = sum(length < 1 for length in later)
    return (
        mean < _METRES_WITH_DECIMALS_BELOW
        and max(firsts) < 30
        and (odd >= 0.3 * len(every) or tiny >= 2)
    )

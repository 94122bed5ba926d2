"""How putts behave on a slope, at the terminal."""

from __future__ import annotations

from collections.abc import Sequence

import click

from sgputt.course.putt import ASSUMPTION, SlopedPutt, sloped_putts
from sgputt.errors import SgputtError
from sgputt.putts.units import format_length
from sgputt.wording import RULE, number
from sgputt_cli.greens import NO_PLAYER, own_stroke, read_past, read_slope, read_stimp
from sgputt_cli.lengths import read_lengths
from sgputt_cli.output import say, say_lengths_in, table, write_json
from sgputt_cli.shared import Shared

# Chances that differ by less than this, to either side, are not told apart.
_SIDES_DIFFER = 0.03
_NO_BREAK_IN = 0.05
_SAME_FT = 0.05


def write_putts(
    shared: Shared,
    words: Sequence[str],
    stimp: str,
    grade: str,
    past: str | None,
    unit: str | None,
) -> None:
    """Print how putts behave on a slope, or write it as JSON."""
    settings = shared.settings()
    unit = unit or settings.unit or "ft"
    lengths = read_lengths([word for word in words if word != "%"], unit)
    pace = None if past is None else read_past(past, unit)
    stimp_ft, slope = read_stimp(stimp), read_slope(grade)
    player, stroke, source = own_stroke(shared)
    try:
        putts = sloped_putts(lengths, stroke, stimp_ft, slope, pace)
    except SgputtError as exc:
        raise click.UsageError(str(exc)) from exc
    if shared.as_json:
        write_json([putt.as_dict() for putt in putts])
        return
    say_lengths_in(settings.shown_in)
    say(f"{player}: putts on a slope of {100 * slope:g} %, stimp {stimp_ft:g} ft ({source})")
    say()
    step = len(putts) // len(lengths)
    for at in range(0, len(putts), step):
        _say_length(putts[at : at + step], player, usual=pace is None)
    say(
        "Break: how far outside the middle of the hole to start it, at the hole; cups are widths "
        "of the hole. Hit it: so much longer or shorter than on the level. Best past: how far "
        "past the hole it should stop if it misses, to take the fewest putts."
    )
    say(ASSUMPTION)
    say(RULE)


def _say_length(putts: Sequence[SlopedPutt], player: str, usual: bool) -> None:
    first = putts[0]
    whose = "" if not usual else ", the tour's pace" if player == NO_PLAYER else ", your usual pace"
    rows = putts if first.grade else putts[:1]
    own = [] if player == NO_PLAYER else ["you"]
    pace = f"to stop {first.past_ft:.1f} ft past" if first.past_ft else "to die in the hole"
    table(
        f"{format_length(first.distance_ft)}, {pace}{whose}",
        ["the ball lies", "break", "cups", "hit it", "best past", *own, "tour", "putts"],
        [_row(putt, bool(own)) for putt in rows],
        tight=True,
    )
    for putt in rows if own else ():
        right, left = putt.make_left_to_right, putt.make_right_to_left
        if abs(right - left) >= _SIDES_DIFFER:
            say(
                f"{putt.lies.capitalize()}: {right:.0%} where it breaks left to right, "
                f"{left:.0%} right to left."
            )


def _row(putt: SlopedPutt, own: bool) -> tuple[str, ...]:
    breaks = putt.break_in >= _NO_BREAK_IN
    way = "longer" if putt.longer_ft > 0 else "shorter"
    hit = f"{abs(putt.longer_ft):.1f} ft {way}"
    return (
        putt.lies if putt.grade else "anywhere",
        f"{putt.break_in:.1f} in" if breaks else "none",
        f"{putt.break_cups:.1f}" if breaks else "",
        hit if abs(putt.longer_ft) >= _SAME_FT else "as level",
        f"{number(putt.best_past_ft)} ft",
        *([f"{putt.make:.0%}"] if own else []),
        f"{putt.tour_make:.0%}",
        f"{putt.expected_putts:.2f}",
    )

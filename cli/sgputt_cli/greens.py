"""A putt on a slope and a course plan, for one stroke."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click
import polars as pl

from sgputt.course.plan import DIRECTIONS, SLOPES_SAID, CoursePlan, course_plan
from sgputt.course.putt import ASSUMPTION, SlopedPutt, sloped_putts
from sgputt.errors import ArchiveError, SgputtError, TooFewError
from sgputt.putts.units import format_length
from sgputt.putts.values import CellError, read_grade
from sgputt.stroke.fitting import FEWEST_PUTTS, fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.wording import RULE, number, percent, signed
from sgputt_cli.baselines import read_length, read_lengths
from sgputt_cli.options import Shared
from sgputt_cli.output import say, say_lengths_in, table, to_whoever_reads, write_file, write_json
from sgputt_cli.stored import one_player, open_archive, settings_of

NO_PLAYER = "a tour player"


def read_stimp(text: str) -> float:
    """A green speed in feet, of what was typed behind ``--stimp``."""
    return read_length(text, "ft", "--stimp: ")


def read_past(text: str, unit: str) -> float:
    """A pace in feet past the hole, of what was typed behind ``--past``; 0 dies in the hole."""
    nothing = "0" in text and not any(digit in text for digit in "123456789-")
    return 0.0 if nothing else read_length(text, unit, "--past: ")


def read_slope(text: str) -> float:
    """A grade as rise over run, of what was typed behind ``--grade``."""
    hint = "Write per cent, such as 2% or 2, or rise over run, such as 0.02."
    try:
        return read_grade(text.strip(), "a slope of 0 to 15 %", hint)
    except CellError as exc:
        what = "" if exc.what else f"'{text}' is not "
        raise click.UsageError(f"--grade: {what}{exc}. {exc.hint}") from exc


def own_stroke(shared: Shared) -> tuple[str, PuttingStroke, str]:
    """A player's name, fitted stroke, and where it comes from; the tour's without any round."""
    try:
        with open_archive(shared) as archive:
            player = one_player(shared, archive)
            putts = archive.putts(player)
    except (ArchiveError, TooFewError):
        if shared.player is not None:
            raise
        return NO_PLAYER, TOUR_STROKE, "no rounds stored: the tour's stroke"
    fit = fit_putting_stroke(putts, any_number=True)
    few = "; few, so it leans on the tour's" if fit.putts < FEWEST_PUTTS else ""
    return player, fit.stroke, f"your stroke, from {fit.putts} putts{few}"


# Chances that differ by less than this, to either side, are shown as one.
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
    settings = settings_of(shared)
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
    say(f"{player}: putts on a slope of {100 * slope:g} %, stimp {stimp_ft:.3g} ft ({source})")
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
                f"{putt.lies.capitalize()}: {percent(right)} where it breaks left to right, "
                f"{percent(left)} right to left."
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
        *([percent(putt.make)] if own else []),
        percent(putt.tour_make),
        f"{putt.expected_putts:.2f}",
    )


_SHOWN_FT = [3.0, 6.0, 10.0, 15.0, 20.0, 30.0, 40.0]


def write_course(shared: Shared, stimp: str, grade: str, out: Path | None) -> None:
    """Print a course plan, or write it as JSON; and its page where one is wanted."""
    stimp_ft, slope = read_stimp(stimp), read_slope(grade)
    player, stroke, source = own_stroke(shared)
    try:
        plan = course_plan(stroke, stimp_ft, slope)
    except SgputtError as exc:
        raise click.UsageError(str(exc)) from exc
    shown_in = settings_of(shared).shown_in
    with to_whoever_reads():
        if shared.as_json:
            write_json(_as_json(plan, player, source))
        else:
            say_lengths_in(shown_in)
            _say_plan(plan, player, source)
    if out is not None:
        from sgputt_reports.course import course_page

        page = course_page(plan, player, source, shown_in)
        write_file(out, page, quiet=shared.as_json)


def _as_json(plan: CoursePlan, player: str, source: str) -> dict[str, object]:
    stroke = plan.stroke
    return {
        "player": player,
        "stroke": {
            "line_deg": stroke.direction_deg,
            "pace_share": stroke.pace,
            "read_share": stroke.read,
        },
        "stroke_from": source,
        "stimp_ft": plan.stimp_ft,
        "grade": plan.grade,
        "approach": plan.approach.to_dicts(),
        "aims": plan.aims.to_dicts(),
        "lag_from_ft": plan.lag_from_ft,
        "steepest_grade": plan.steepest,
        "assumption": plan.assumption,
    }


def _say_plan(plan: CoursePlan, player: str, source: str) -> None:
    say(f"{player}: stimp {plan.stimp_ft:.3g} ft, slopes of {100 * plan.grade:g} % ({source})")
    say()
    shown = pl.col("distance_ft").is_in(_SHOWN_FT)
    table(
        "Leaving the approach below, beside or above the hole (expected putts)",
        ["length", "below", "beside", "above", "beside costs", "above costs"],
        [
            (
                f"{row['distance_ft']:g} ft",
                *(f"{row[where]:.2f}" for where in ("below", "beside", "above")),
                *(signed(row[cost]) for cost in ("beside_cost", "above_cost")),
            )
            for row in plan.approach.filter(shown).iter_rows(named=True)
        ],
    )
    slopes = list(DIRECTIONS) if plan.grade else ["level"]
    said = SLOPES_SAID if plan.grade else {"level": "level"}
    table(
        "How far past the hole to aim, and what charging or dying it in costs (putts)",
        ["slope", "length", "aim past", "charge: 3 ft past", "die: 3 in past"],
        [
            (
                said[row["slope"]],
                f"{row['distance_ft']:g} ft",
                f"{signed(row['best_aim_ft'], 1)} ft",
                f"{row['charge_cost']:.2f}",
                f"{row['die_cost']:.2f}",
            )
            for row in plan.aims.filter(shown & pl.col("slope").is_in(slopes)).iter_rows(named=True)
        ],
    )
    for slope in slopes:
        ft = plan.lag_from_ft[slope]
        where = "not up to 60 ft" if ft is None else f"from {ft:g} ft"
        say(f"Stop trying to hole it, {said[slope]}: {where}.")
    say(plan.limit)
    say(plan.assumption)
    say(RULE)

"""``sgputt drills transfer``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import all_drills, find_drill, own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice.on_course import CourseRate, Rate
    from sgputt.practice.transfer import Change, Transfer

_WORTH_SAYING = 0.05


@click.command("transfer")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "baseline", "json")
def command(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Tell whether practice shows on the course.

    For each drill logged: its success rate against the same putts on the
    course, and strokes gained in what it trains before and after you took it up.

    \b
    Examples:
      sgputt drills transfer
      sgputt drills transfer circle-of-eight-5ft --json
    """
    from sgputt.archive.sessions import SessionLog
    from sgputt.practice.transfer import transfers
    from sgputt_cli.output import plural, say, write_json
    from sgputt_cli.selection import select_season

    drills = all_drills(own)
    wanted = None if drill_id is None else find_drill(drills, drill_id).id
    selection = select_season(shared)
    with shared.open_archive() as archive:
        sessions = SessionLog(archive).table(selection.player)
    found = transfers(sessions, drills, selection.scored)
    found = [each for each in found if wanted in (None, each.drill.id)]
    if shared.as_json:
        shown = [_as_json(each) for each in found]
        write_json({"player": selection.player, "drills": shown})
        return
    rounds = selection.scored.rounds.height
    say(f"{selection.player}: practice against the course, {plural(rounds, 'round')}")
    if not found:
        what = f" of {wanted}" if wanted else ""
        say(f"No practice{what} is logged yet: sgputt drills log NAME --balls N --successes N")
    for each in found:
        say()
        _show(each, selection.scored.baseline.name)


def _as_json(found: Transfer) -> dict[str, object]:
    from dataclasses import asdict

    return {
        "drill": found.drill.id,
        "drill_name": found.drill.name,
        "sets": found.sets,
        "first": str(found.first),
        "course": asdict(found.course),
        "change": asdict(found.change),
        "shared_with": list(found.shared_with),
    }


def _show(found: Transfer, against: str) -> None:
    from sgputt_cli.indented import say_under
    from sgputt_cli.output import plural, say

    sets = plural(found.sets, "set")
    say(f"{found.drill.name}: {sets} since {found.first}")
    for line in (*_rates(found.course, against), *_change(found.change)):
        say_under(line)
    if found.shared_with:
        say_under(f"Not to be told apart from: {', '.join(found.shared_with)}.")


def _rates(course: CourseRate, against: str) -> list[str]:
    lines = [f"In practice {_rate(course.practice, against)}."]
    if course.course is not None:
        when = "in all rounds" if course.since is None else "since then"
        lines.append(f"On the course {when} {_rate(course.course, against)}.")
    return [*lines, f"{course.words[0].upper()}{course.words[1:]}."]


def _rate(rate: Rate, against: str) -> str:
    share = f"{rate.successes} of {rate.balls}, {100 * rate.rate:.0f} %"
    text = f"{share} (90 % interval {100 * rate.low:.0f} to {100 * rate.high:.0f} %)"
    if rate.expected is None:
        return text
    return f"{text}; '{against}' would hole {100 * rate.expected:.0f} %"


def _change(change: Change) -> list[str]:
    from sgputt_cli.output import chances, interval, plural, signed

    lines = []
    if change.value is not None:
        rounds = (plural(change.rounds_before, "round"), plural(change.rounds_after, "round"))
        lines.append(
            f"Strokes gained a round on what it trains: {signed(change.before)} before"
            f" ({rounds[0]}), {signed(change.after)} after ({rounds[1]})."
        )
        spread = (
            f" (90 % interval {interval(change.low, change.high)})"
            if change.low is not None
            else ""
        )
        lines.append(f"Difference {signed(change.value)}{spread}.")
    if change.comes_back is not None and change.chance_improved is not None:
        if abs(change.comes_back) >= _WORTH_SAYING:
            spell = "bad" if change.comes_back > 0 else "good"
            lines.append(
                f"About {signed(change.comes_back)} was to be expected without practice: after"
                f" a {spell} spell luck evens out."
            )
        lines.append(f"Chance that you truly improved: {chances(change.chance_improved)}.")
    lines.append(change.words)
    if change.rest is not None:
        lines.append(f"All other putting meanwhile: {signed(change.rest)} a round.")
    return lines

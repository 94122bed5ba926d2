"""A squad at the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import polars as pl

from sgputt.practice.squad import KNOWN_WITHIN, Member, Squad
from sgputt.putts.bands import LABELS
from sgputt.wording import chances, interval, plural, signed
from sgputt_cli.narrowing import Which
from sgputt_cli.output import as_shown, named, say, say_lengths_in, table, write_file, write_json
from sgputt_cli.selection import select_squad
from sgputt_cli.shared import Shared


def write_squad(shared: Shared, which: Which, out: Path | None) -> None:
    """Print a squad, or write it as JSON, and write its page where ``out`` names one."""
    say_lengths_in(shared.settings().shown_in)
    analysis = select_squad(shared, which)
    if shared.as_json:
        write_json(analysis.as_dict())
    else:
        say_squad(analysis.squad, analysis.absent)
    if out is not None:
        from sgputt_reports.squad import squad_page

        page = squad_page(analysis, shared.settings().shown_in)
        write_file(out, page, quiet=shared.as_json)


def say_squad(squad: Squad, absent: Sequence[str]) -> None:
    """Players, who loses where, the drills that serve several, first priorities, and doubts."""
    table(
        f"{plural(len(squad.members), 'player')}, strokes gained a round against"
        f" {named(squad.against)}",
        ["player", "rounds", "gained", "90 % interval", "holing", "leaves"],
        [_figures(each) for each in squad.members],
    )
    for component, title in (("holing", "Holing"), ("leave", "Leaves")):
        _where(squad, component, title)
    say("Shrunk toward each player's own mean; * a loss that luck does not explain.")
    _say_few(squad, absent)
    say()
    _say_drills(squad)
    say()
    _say_first(squad)


def _figures(member: Member) -> tuple[str, ...]:
    gained = member.strokes_gained
    return (
        member.player,
        str(member.rounds),
        signed(gained.value),
        interval(gained.low, gained.high),
        signed(member.holing.value),
        signed(member.leave.value),
    )


def _where(squad: Squad, component: str, title: str) -> None:
    cells = {
        (row["player"], row["distance"]): row
        for row in squad.losses.filter(pl.col("component") == component).iter_rows(named=True)
    }
    units = {"ft": "feet", "m": "metres"}
    lengths, unit = zip(*(as_shown(label).split(" ") for label in LABELS), strict=True)
    table(
        f"{title}: strokes gained a round by length of putt, {units[unit[0]]}",
        ["player", *lengths],
        [
            (each.player, *(_cell(cells.get((each.player, label))) for label in LABELS))
            for each in squad.members
        ],
        tight=True,
    )


def _cell(row: dict[str, float] | None) -> str:
    if row is None:
        return "-"
    return signed(row["shrunk_per_round"]) + ("*" if row["sure"] else " ")


def _say_few(squad: Squad, absent: Sequence[str]) -> None:
    few = [_few(each) for each in squad.members if each.few_rounds]
    if few:
        within = f"within {KNOWN_WITHIN:g} stroke"
        say(f"Too few rounds to know strokes gained {within}: {', '.join(few)}.")
    if absent:
        say(f"No round asked for of: {', '.join(absent)}.")


def _few(member: Member) -> str:
    more = f", about {member.more_rounds} more would do" if member.more_rounds else ""
    return f"{member.player} ({plural(member.rounds, 'round')}{more})"


def _say_drills(squad: Squad) -> None:
    if not squad.drills:
        say("No loss shows that a drill would train: keep up what you do.")
        return
    say(
        "Drills by what they should bring all players together, strokes a round, if half of each"
        " loss can be won back:"
    )
    for each in squad.drills:
        whom = ", ".join(f"{name} {gain:.2f}" for name, gain in each.players.items())
        minutes = f"{each.drill.minutes} minutes"
        sure = f"; beyond luck: {', '.join(each.sure)}" if each.sure else "; may be luck"
        say(
            f"{each.rank}. {each.drill.name} ({minutes}), about {each.worth_per_round:.2f}:"
            f" {whom}{sure}"
        )
        say(f"   sgputt drills {each.drill.id}")


def _say_first(squad: Squad) -> None:
    say("First priority of each:")
    for each in squad.members:
        if each.first is None:
            say(f"{each.player}: no loss shows.")
            continue
        first = each.first
        say(
            f"{each.player}: {first.why}, real: {chances(first.chance_of_loss)}. {first.drill.name}"
        )

"""The next drill, in words and as JSON."""

from __future__ import annotations

from collections.abc import Sequence

import click

from sgputt.practice.aim import GENERAL, Aim
from sgputt.practice.pass_mark import PassMark
from sgputt.practice.plan import Plan
from sgputt.practice.priorities import Priority
from sgputt.wording import chances, signed
from sgputt_cli.mark_text import mark_lines
from sgputt_cli.output import say


def say_decision(
    priorities: Sequence[Priority],
    rounds: int,
    mark: PassMark | None = None,
    aim: Aim = GENERAL,
) -> None:
    """The next drill: why, how sure, set-up, pass mark and worth.

    ``mark`` is the player's own for the first drill; without it the priority's is said, which is
    a tour stroke's.
    """
    if not priorities:
        say(
            "No loss shows from any distance: keep up what you do, and come back after more rounds."
        )
        return
    first = priorities[0]
    say(f"Next drill: {first.drill.name} ({first.drill.minutes} minutes)")
    say(f"Why: {first.why}. {how_sure(first, rounds)}")
    say(f"Set-up: {first.drill.setup}")
    say(f"Do: {first.drill.do}")
    if mark is None:
        say(f"Pass mark (from a model of a tour stroke): {first.pass_mark}")
    else:
        for line in mark_lines(mark, aim):
            say(line)
    worth = f"about {first.worth_per_round:.2f} strokes a round"
    say(f"Worth: {worth}, if half of the loss can be won back.")


def say_general(plan: Plan, aim: Aim) -> None:
    """A drill for a player of whom too little is known, and why it is not a personal one."""
    say(plan.note)
    block = plan.sessions[0].blocks[0]
    assert block.drill is not None and block.mark is not None
    say(f"Until then, for anybody: {block.drill.name} ({block.minutes} minutes)")
    say(f"Set-up: {block.drill.setup}")
    say(f"Do: {block.drill.do}")
    for line in mark_lines(block.mark, aim):
        say(line)
    say("A whole session: sgputt practice --minutes 60")


def how_sure(priority: Priority, rounds: int) -> str:
    """How far a loss can be told from luck, and what it would take."""
    chance = f"The chance that the loss is real is {chances(priority.chance_of_loss)}"
    if priority.sure:
        return f"{chance}."
    if priority.rounds_to_tell is None:
        return f"{chance}: too few putts to tell, and over a thousand rounds would be needed."
    more = max(priority.rounds_to_tell - rounds, 1)
    return f"{chance}: too few to tell it from luck; about {more} more rounds would."


def say_priorities(priorities: Sequence[Priority]) -> None:
    """All losses worth practising, each with its drill."""
    if not priorities:
        return
    say("Strokes lost a round, shrunk toward your mean, with 90 % intervals:")
    for each in priorities:
        where = f"{each.distance}, {each.slope} slope, {each.component}"
        lost = f"{each.loss_per_round:.2f} lost ({signed(each.low)} to {signed(each.high)})"
        click.echo(f"{each.rank}. {where}: {lost}, real: {chances(each.chance_of_loss)}")
        worth = f"{each.drill.minutes} minutes, worth about {each.worth_per_round:.2f}"
        click.echo(f"   sgputt drills {each.drill.id}   ({worth})")

"""A player's stroke at the terminal: its parts, its habits, and what misses were."""

from __future__ import annotations

from sgputt.stroke.causes import Habit, StrokeCauses, StrokePart
from sgputt.wording import chances, interval, of_the_stroke, plural, signed
from sgputt_cli.output import say, say_lengths_in, table, write_json
from sgputt_cli.selection import select_season
from sgputt_cli.shared import Shared

# How many habits that may be luck are named when none is told.
_NEAREST = 1
_LIKELY = 0.9


def write_stroke(shared: Shared, year: int | None) -> None:
    """Print a player's stroke, or write it as JSON."""
    say_lengths_in(shared.settings().shown_in)
    analysis = select_season(shared, year)
    if shared.as_json:
        write_json({"player": analysis.player, **analysis.stroke.as_dict()})
    else:
        _say_stroke(analysis.player, analysis.stroke)


def _say_stroke(player: str, stroke: StrokeCauses) -> None:
    played = f"{plural(stroke.rounds, 'round')}, {plural(stroke.putts, 'putt')}"
    say(f"{player}: {played}")
    if stroke.too_few:
        say(stroke.too_few)
        return
    table(
        "The parts of your stroke, with 90 % intervals, and what one step better is worth a round",
        ["part", "yours", "better", "tour", "worth"],
        [_part(each) for each in stroke.parts],
    )
    say_habits(stroke)
    for each in _nearest(stroke):
        say(f"It may be luck that: {each.text} It is this way: {chances(each.chance)}.")
    say()
    say_misses(stroke)
    say(stroke.pace_note)
    say(
        "Worth is strokes a round on your own first putts, if you putted one step better or without"
        " the habit; nobody has measured what practice brings."
    )
    say(stroke.assumption)


def _part(each: StrokePart) -> tuple[str, ...]:
    low, high = (of_the_stroke(value, each.unit).rstrip(" %°") for value in (each.low, each.high))
    worth = each.worth_per_round
    return (
        each.part,
        f"{of_the_stroke(each.value, each.unit)} ({low} to {high})",
        of_the_stroke(each.better, each.unit),
        of_the_stroke(each.tour, each.unit),
        f"{signed(worth.value)} ({interval(worth.low, worth.high)})",
    )


def say_habits(stroke: StrokeCauses) -> None:
    """Habits that are beyond luck, a sentence each; else the nearest to it."""
    for each in stroke.told:
        say(f"Habit. {each.text} It is this way: {chances(each.chance)}.")
    if not stroke.told:
        say("No habit can be told from luck.")


def _nearest(stroke: StrokeCauses) -> list[Habit]:
    """Habits that may be luck and would cost most, where none is told."""
    likely = [each for each in stroke.habits if each.chance >= _LIKELY and not stroke.told]
    return sorted(likely, key=lambda each: -each.worth_per_round.value)[:_NEAREST]


def say_misses(stroke: StrokeCauses) -> None:
    """What misses were, in shares and in strokes, beside the player's own words."""
    if not stroke.misses:
        return
    causes = sorted(stroke.misses, key=lambda each: -each.lost_per_round)
    shares = ", ".join(
        f"{each.cause} {100 * each.share:.0f} % ({signed(-each.lost_per_round)})" for each in causes
    )
    say(f"What misses were, with strokes lost on them a round: {shares}.")
    for row in stroke.own_words.iter_rows(named=True):
        word, many = row["cause"], plural(row["putts"], "miss", "misses")
        made = ", ".join(f"{each.cause} {100 * row[each.cause]:.0f} %" for each in causes)
        say(f"You wrote {word} for {many}; by the model they were {made}.")

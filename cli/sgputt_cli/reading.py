"""Options that say what a scorecard does not say itself, for check and import."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from sgputt.scorecard import CardOptions, Problem

_MOST_SAID = 50

Function = TypeVar("Function", bound=Callable[..., Any])

_CARD_OPTIONS = (
    click.option("--date", type=click.DateTime(["%Y-%m-%d"]), help="Date, as 2026-05-03."),
    click.option("--course", help="Course."),
    click.option("--event", help="Event."),
    click.option("--round", "round_number", type=click.IntRange(1, 99), help="Round of the day."),
    click.option("--unit", help="Unit of bare lengths: ft, m, paces ... (ft)"),
    click.option("--pace-length", "pace_ft", type=float, default=3.0, help="Feet in a pace (3)."),
    click.option("--stimp", "stimp_ft", type=float, help="Green speed, feet."),
    click.option("--date-order", type=click.Choice(["dmy", "mdy"]), help="How to read 3/5/2026."),
    click.option("--sheet", help="One sheet of a workbook (every card in it)."),
    click.option(
        "--missing",
        type=click.Choice(["chipped-in", "not-played"]),
        help="What holes without a row were.",
    ),
    click.option("--as-written", is_flag=True, help="What can hardly be true is so."),
)


def card_options(function: Function) -> Function:
    """Add the options of :func:`to_options` to a command."""
    for option in reversed(_CARD_OPTIONS):
        function = option(function)
    return function


def to_options(player: str | None, values: dict[str, Any]) -> CardOptions:
    """Reader's options from the values of the command's options."""
    from sgputt.scorecard import CardOptions

    date: datetime | None = values.pop("date")
    missing: Any = (values.pop("missing") or "").replace("-", " ") or None
    return CardOptions(
        player=player,
        date=date.date() if date else None,
        round=values.pop("round_number"),
        missing=missing,
        **values,
    )


def say_problems(problems: Sequence[Problem], notes: Sequence[str]) -> None:
    """Write notes, problems and questions to stderr, one a line; of very many the first."""
    from sgputt_cli.output import plural, write_line

    for note in notes:
        write_line(f"Note: {note}", err=True)
    for problem in problems[:_MOST_SAID]:
        write_line(f"{'Question' if problem.question else 'Problem'}: {problem}", err=True)
    more = len(problems) - _MOST_SAID
    if more > 0:
        write_line(f"And {plural(more, 'more problem')}: all of them with --json.", err=True)

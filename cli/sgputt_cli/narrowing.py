"""Options that narrow which rounds a command is about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    _DateType = click.ParamType[date]
else:  # Before click 8.4 a type of parameter does not say what it makes.
    _DateType = click.ParamType


class Day(_DateType):
    """A date written year first, such as 2026-06-01."""

    name = "date"

    def convert(
        self, value: str | date, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        """Read a date; anything else is wrong use."""
        if isinstance(value, date):
            return value
        try:
            return datetime.strptime(value.strip(), "%Y-%m-%d").date()
        except ValueError:
            self.fail(f"'{value}' is no date. Write it year first, as in 2026-06-01.", param, ctx)


DAY = Day()


@dataclass(frozen=True)
class Which:
    """Rounds asked for: those from ``since`` to ``until``, both included, and of these the last."""

    since: date | None = None
    until: date | None = None
    last: int | None = None

    @property
    def everything(self) -> bool:
        """Whether nothing is narrowed."""
        return self == Which()


def takes_which(function: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--last``, ``--since`` and ``--until``, handed over as one ``which``."""

    @click.option("--last", type=click.IntRange(1), metavar="N", help="Only the last N rounds.")
    @click.option("--since", type=DAY, metavar="DATE", help="Only rounds from this day on.")
    @click.option("--until", type=DAY, metavar="DATE", help="Only rounds up to this day.")
    @wraps(function)
    def command(
        *arguments: Any, last: int | None, since: date | None, until: date | None, **options: Any
    ) -> None:
        if since is not None and until is not None and since > until:
            raise click.UsageError(f"--since {since} lies behind --until {until}.")
        function(*arguments, which=Which(since, until, last), **options)

    return command

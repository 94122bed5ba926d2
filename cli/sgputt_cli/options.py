"""Options that several commands have: whose rounds, which of them, whose drills, how to say it."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    _DateType = click.ParamType[date]
else:  # Before click 8.4 a type of parameter does not say what it makes.
    _DateType = click.ParamType

Function = TypeVar("Function", bound=Callable[..., Any])

_OPTIONS: dict[str, Callable[[Function], Function]] = {
    "archive": click.option(
        "--archive",
        type=click.Path(dir_okay=False),
        help="Archive file; else SGPUTT_ARCHIVE, else your data folder.",
    ),
    "player": click.option("--player", help="Player's name."),
    "baseline": click.option("--baseline", help="Players to compare with (tour)."),
    "json": click.option("--json", "as_json", is_flag=True, help="Write JSON for scripts."),
}


@dataclass(frozen=True)
class Shared:
    """Values of the shared options.

    Attributes
    ----------
    archive : Path or None
    player, baseline : str or None
    as_json : bool
    """

    archive: Path | None = None
    player: str | None = None
    baseline: str | None = None
    as_json: bool = False


def shared_options(*names: str) -> Callable[[Function], Function]:
    """Add shared options to a command, under their plain names."""

    def add(function: Function) -> Function:
        for name in reversed(names):
            function = _OPTIONS[name](function)
        return function

    return add


def takes_shared(*names: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Give a command shared options, handed over as one :class:`Shared` first argument.

    What stands behind the command's name wins over what stands before it.
    """

    def add(function: Callable[..., None]) -> Callable[..., None]:
        @shared_options(*names)
        @click.pass_context
        @wraps(function)
        def command(ctx: click.Context, /, **options: Any) -> None:
            before = ctx.obj if isinstance(ctx.obj, Shared) else Shared()
            fields = ["as_json" if name == "json" else name for name in names]
            own = {field: options.pop(field) for field in fields}
            merged: dict[str, Any] = {
                field: getattr(before, field) if own.get(field) in (None, False) else own[field]
                for field in ("archive", "player", "baseline", "as_json")
            }
            if merged["archive"] is not None:
                if not merged["archive"]:
                    raise click.UsageError("--archive needs the name of a file.")
                merged["archive"] = Path(merged["archive"])
            if merged["player"] is not None:
                from sgputt.safe_text import clean

                merged["player"] = clean(merged["player"])
            function(Shared(**merged), **options)

        return command

    return add


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


PAGES = (".html", ".htm")
MARKDOWN = (".md", ".markdown")


class NamedForm(click.Path):
    """A file to write, in the form that the end of its name asks for."""

    def __init__(self, *endings: str) -> None:
        super().__init__(dir_okay=False, path_type=Path)
        self._endings = endings

    def convert(
        self,
        value: str | os.PathLike[str],
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Path:
        """The path; a name that ends otherwise is wrong use."""
        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        if path.suffix.casefold() not in self._endings:
            said = f"'{path.name}' does not say in what form."
            self.fail(f"{said} End it in {', '.join(self._endings)}.", param, ctx)
        return path


@dataclass(frozen=True)
class RoundFilter:
    """Rounds asked for: those from ``since`` to ``until``, both included, and of these the last."""

    since: date | None = None
    until: date | None = None
    last: int | None = None

    @property
    def everything(self) -> bool:
        """Whether all rounds are asked for."""
        return self == RoundFilter()


def takes_round_filter(function: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--last``, ``--since`` and ``--until``, handed over as one ``which``."""

    @click.option("--last", type=click.IntRange(1), metavar="N", help="Only the last N rounds.")
    @click.option("--since", type=DAY, metavar="DATE", help="Only rounds from this day on.")
    @click.option("--until", type=DAY, metavar="DATE", help="Only rounds up to this day.")
    @wraps(function)
    def command(
        *arguments: Any, last: int | None, since: date | None, until: date | None, **options: Any
    ) -> None:
        if since is not None and until is not None and since > until:
            raise click.UsageError(f"--since {since} comes after --until {until}.")
        function(*arguments, which=RoundFilter(since, until, last), **options)

    return command


DRILLS_VARIABLE = "SGPUTT_DRILLS"
_OWN = "sgputt.own"

own_option = click.option(
    "--own",
    type=click.Path(dir_okay=False, path_type=Path),
    help=f"File of drills of your own; else {DRILLS_VARIABLE}.",
)


def remember_own(own: Path | None) -> None:
    """Keep a group's file of own drills for its commands."""
    click.get_current_context().meta[_OWN] = own


def own_file(own: Path | None) -> Path | None:
    """The user's file of drills, from the option, the group's, or the environment."""
    named: Path | None = own or click.get_current_context().meta.get(_OWN)
    variable = os.environ.get(DRILLS_VARIABLE)
    return named or (Path(variable) if variable else None)

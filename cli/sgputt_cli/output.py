"""Writing to the terminal, as JSON, and to files."""

from __future__ import annotations

import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sgputt.files import write_whole
from sgputt.putts.units import said_in_metres
from sgputt.safe_text import json_text, on_a_line, printable

if TYPE_CHECKING:
    from sgputt.baseline.curve import Baseline

WIDTH = 80
_NARROWEST = 20
_UNLIMITED = 1000
_JSON_DIGITS = 10
_IN_METRES = ContextVar("in_metres", default=False)


def say_lengths_in(shown_in: str) -> None:
    """Say lengths in ``feet`` or ``metres`` from here on in texts and tables; JSON has feet."""
    _IN_METRES.set(shown_in == "metres")


def as_shown(text: str) -> str:
    """A text with its lengths in the unit that was asked for."""
    return said_in_metres(text) if _IN_METRES.get() else text


def write_json(value: Any) -> None:
    """Write one JSON value to stdout, and nothing else; numbers to ten digits."""
    text = json_text(_steady(value))
    try:
        text.encode(sys.stdout.encoding)
    except UnicodeEncodeError:
        text = json.dumps(json.loads(text), indent=2)
    click.echo(text)


def _steady(value: Any) -> Any:
    """The value without the last digits of its numbers, which depend on the order of sums."""
    if isinstance(value, float):
        return float(f"{value:.{_JSON_DIGITS}g}")
    if isinstance(value, dict):
        return {key: _steady(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_steady(each) for each in value]
    return value


def write_out(content: bytes) -> None:
    """Write a file's content to stdout, byte for byte unless that is a terminal."""
    if sys.stdout.isatty():
        click.echo(printable(content.decode("utf-8", "replace")), nl=False)
    else:
        sys.stdout.buffer.write(content)


def write_file(path: Path, content: str | bytes, quiet: bool = False) -> None:
    """Write a page or a picture whole or not at all, and say its name unless ``quiet``."""
    write_whole(path, content if isinstance(content, bytes) else content.encode("utf-8", "replace"))
    if not quiet:
        write_line(f"Wrote {path}")


def form_of_picture(path: Path, page: bool = False) -> str:
    """Form that the name of a picture asks for, or of a page where one will do.

    Raises
    ------
    click.UsageError
        The name ends otherwise.
    """
    forms = ("html", "png", "svg") if page else ("png", "svg")
    form = path.suffix.lower().removeprefix(".")
    if form not in forms:
        endings = ", ".join(f".{each}" for each in forms)
        raise click.UsageError(f"'{path.name}' does not say in what form. End it in {endings}.")
    return form


def table(
    title: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    left: int = 1,
    tight: bool = False,
) -> None:
    """Print a title and a table within 80 columns; the first ``left`` columns align left.

    ``tight`` leaves one space between columns, for tables of many. In a terminal too narrow for
    the columns each row is a sentence.
    """
    from rich import box, console, text
    from rich import table as grids

    padding = (0, 0 if tight else 1)
    grid = grids.Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=padding)
    for at, name in enumerate(columns):
        grid.add_column(as_shown(name), justify="left" if at < left else "right", overflow="fold")
    rows = list(rows)
    for row in rows:
        grid.add_row(*(text.Text(printable(as_shown(cell))) for cell in row))
    # Rich would leave bold on under NO_COLOR.
    plain = bool(os.environ.get("NO_COLOR"))
    screen = console.Console(highlight=False, color_system=None if plain else "auto")
    wide = screen.options.update(max_width=_UNLIMITED)
    screen.width = min(screen.width, WIDTH) if screen.is_terminal else WIDTH
    say(title)
    if screen.width < min(WIDTH, screen.measure(grid, options=wide).maximum):
        for row in rows:
            others = zip(columns[left:], row[left:], strict=True)
            named = [f"{name} {cell.strip()}" for name, cell in others if cell]
            say(f"{', '.join(filter(None, row[:left]))}: {', '.join(named)}.")
    else:
        screen.print(grid)
    say()


def baseline_words(baseline: Baseline) -> str:
    """Name of a baseline, and that it is approximate where it is."""
    return f"{baseline.name} (approximate)" if baseline.approximate else baseline.name


def say(text: str = "", hang: int = 0) -> None:
    """Print one paragraph, wrapped to the width of the terminal.

    Lines after the first are indented by ``hang``: a list of names takes some, so that no line
    starts with what somebody's name says.
    """
    line, room = on_a_line(as_shown(text)), " " * hang
    click.echo(click.wrap_text(line, _text_width(), subsequent_indent=room) if text else "")


def _text_width() -> int:
    """Room for text: that of the terminal, at most 80 columns; of a pipe or a file, 80."""
    columns = shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDTH
    return max(min(columns, WIDTH), _NARROWEST) - 2


def write_line(text: str, err: bool = False) -> None:
    """Print one line, not wrapped, whatever names stand in it."""
    click.echo(on_a_line(text), err=err)


def say_indented(text: str, indent: int = 2) -> None:
    """Print one paragraph, wrapped, all its lines indented."""
    room = " " * indent
    click.echo(
        textwrap.fill(
            printable(as_shown(text)),
            _text_width(),
            initial_indent=room,
            subsequent_indent=room,
        )
    )


@contextmanager
def to_whoever_reads() -> Iterator[None]:
    """Say something before a file is written, which it is though the reader has gone (``head``)."""
    try:
        yield
    except (BrokenPipeError, SystemExit) as exc:
        # Rich ends the program where click lets the error through.
        if not isinstance(exc, BrokenPipeError) and not isinstance(
            exc.__context__, BrokenPipeError
        ):
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


Item = TypeVar("Item")
# Fewer files than this are read before one could look.
_MANY = 10


def tracked(items: Sequence[Item], words: str) -> Iterator[Item]:
    """The items one by one, with a bar on stderr while it lasts, when they are many.

    Nothing is shown in a pipe or a file, nor where no codes are wanted or understood.
    """
    if len(items) < _MANY:
        yield from items
        return
    with counter(len(items), words) as step:
        for item in items:
            yield item
            step()


@contextmanager
def counter(total: int, words: str) -> Iterator[Callable[[], None]]:
    """A bar as that of :func:`tracked`; what is given is to be called after each item."""
    if total == 1 or not _is_watched():
        yield lambda: None
        return
    from rich import console, progress

    columns = (
        progress.TextColumn("{task.description}"),
        progress.BarColumn(),
        progress.MofNCompleteColumn(),
        progress.TimeRemainingColumn(),
    )
    screen = console.Console(stderr=True)
    with progress.Progress(*columns, console=screen, transient=True) as bar:
        task = bar.add_task(words, total=total)
        yield lambda: bar.advance(task)


def _is_watched() -> bool:
    """Whether stderr is a terminal that moves its cursor when told to."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stderr.isatty() and not plain

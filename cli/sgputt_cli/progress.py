"""How far a long piece of work has come: on stderr, and only where somebody looks at it."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

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
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(words, total=total)
        yield lambda: progress.advance(task)


def _is_watched() -> bool:
    """Whether stderr is a terminal that moves its cursor when told to."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stderr.isatty() and not plain

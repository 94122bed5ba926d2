"""A row of a scorecard file before anything is read from it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sgputt.scorecard.problem import FileError

MAX_ROWS = 100_000
MAX_COLUMNS = 256
# What a cell with a formula that was never worked out reads as: anything but blank.
WITHOUT_VALUE = "a formula without its value"


class Row(NamedTuple):
    """Row number in the file (from 1) and its cells, as written."""

    number: int
    cells: tuple[str, ...]


def too_many_rows() -> FileError:
    """Error for a file of more rows than are read."""
    return FileError(
        f"the file has more than {MAX_ROWS:,} rows",
        f"at most {MAX_ROWS:,} rows",
        "Split it into several files, one a season for instance.",
    )


def too_many_columns(row: int) -> FileError:
    """Error for a row of more cells than are read."""
    return FileError(
        f"there are more than {MAX_COLUMNS} columns",
        f"at most {MAX_COLUMNS} columns",
        "Copy the card into a file or sheet of its own.",
        row,
    )


def numbered(numbers: Iterable[int], noun: str) -> str:
    """Name ``holes 4, 10-18``."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}-{r[-1]}" for r in runs)
    one = len(runs) == 1 and len(runs[0]) == 1
    return f"{noun}{'' if one else 's'} {said}"

"""The reference data: published figures and the drill catalogue, each file with its source.

The files lie in ``sgputt/reference/`` of an installed package, or in ``data/reference/`` of a
checkout. A table is CSV after comment lines ``# key: value`` that name its source and status.
"""

from __future__ import annotations

import difflib
from functools import cache
from pathlib import Path

import polars as pl
import polars.selectors as cs

from sgputt.errors import ReferenceDataError

INSTALLED = Path(__file__).parent / "reference"
CHECKOUT = Path(__file__).parents[1] / "data" / "reference"
COMMENT = "#"


def reference_path(name: str) -> Path:
    """Path of a file of reference data.

    Parameters
    ----------
    name : str
        File name; without a suffix it means the ``.csv``.

    Raises
    ------
    ReferenceDataError
        There is no such file. The hint names the nearest one there is.
    """
    file_name = name if Path(name).suffix else f"{name}.csv"
    folder = next((place for place in (INSTALLED, CHECKOUT) if place.is_dir()), None)
    if folder is None:
        raise ReferenceDataError(
            "reference data: the folder is missing",
            "Install sgputt again, or work in a checkout that holds data/reference/.",
        )
    names = sorted(path.name for path in folder.iterdir() if path.is_file())
    if file_name not in names:
        near = difflib.get_close_matches(file_name, names, n=1)
        raise ReferenceDataError(
            f"reference data: no file {file_name!r}",
            f"Did you mean {near[0]!r}?" if near else f"There are: {', '.join(names)}.",
        )
    return folder / file_name


def read_table(name: str) -> pl.DataFrame:
    """Read a table of reference data.

    Columns ending in ``_ft`` are feet and always floats. An empty field is null: not given, or
    an open end.

    Raises
    ------
    ReferenceDataError
        There is no such file, or it is not CSV.
    """
    return _table(reference_path(name))


@cache
def _table(path: Path) -> pl.DataFrame:
    try:
        table = pl.read_csv(path, comment_prefix=COMMENT, infer_schema_length=None)
    except (pl.exceptions.PolarsError, UnicodeDecodeError) as exc:
        raise ReferenceDataError(
            f"reference data: {path.name} cannot be read: {str(exc).splitlines()[0]}",
            "It must be CSV in UTF-8 with one header line after the '#' lines.",
        ) from exc
    return table.with_columns((cs.ends_with("_ft") & cs.integer()).cast(pl.Float64))


def read_notes(name: str) -> dict[str, str]:
    """Read the notes at the head of a table, such as ``source``, ``status``, ``era`` and ``units``.

    Raises
    ------
    ReferenceDataError
        There is no such file.
    """
    notes = {}
    for line in reference_path(name).read_text(encoding="utf-8").splitlines():
        if line.startswith(COMMENT):
            key, _, value = line.removeprefix(COMMENT).partition(":")
            notes[key.strip()] = value.strip()
    return notes


def read_values(name: str) -> dict[str, float]:
    """Values of a table with the columns ``name`` and ``value``, each in the unit of its row.

    A name whose value is empty is left out.

    Raises
    ------
    ReferenceDataError
        There is no such file, a column is absent, a value is no number, or a name stands twice.
    """
    table = read_table(name)
    if not {"name", "value"} <= set(table.columns) or not table["value"].dtype.is_numeric():
        raise ReferenceDataError(
            f"reference data: {name} has no names with numbers",
            f"Needed: the columns name and value. Here: {', '.join(table.columns)}.",
        )
    twice = table.filter(pl.col("name").is_duplicated())["name"].unique().sort().to_list()
    if twice:
        raise ReferenceDataError(
            f"reference data: {name} has {', '.join(twice)} more than once",
            "Give each row a name of its own.",
        )
    given = table.drop_nulls("value").select("name", pl.col("value").cast(pl.Float64))
    return dict(given.iter_rows())

"""Files of putts: found, read so many rows at a time, and their rows checked.

They are read by pyarrow, which says what is damaged where Polars' reader may end the process, and
every value is looked at before Polars takes it over.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from sgputt.errors import SgputtError
from sgputt.gained.runs import NEW_RUN, first_rows, in_order, run_of, starts
from sgputt.putts.rules import BEFORE, LAST, MISSED, NEXT_FT, ORDER, PLACE, VALUES, Rule
from sgputt.putts.table import DEFAULTS, HOLE_KEY, PUTT_KEY, PUTTS_SCHEMA, REQUIRED, ROUND_KEY
from sgputt.safe_text import MAX_NAME, clean, name_key, shown

ROW = "row"
SQUAD = "squad"
ENDING = ".parquet"
# Under half a gigabyte of memory while they are worked on (measured).
ROWS_AT_ONCE = 2_000_000
MOST_OF_A_ROUND = 10_000
# Far beyond what one file is good for; a few bytes can claim as many rows as one likes.
MOST_ROWS = 1_000_000_000
_NEEDED = (*REQUIRED, "date")
# Columns of the putts table that strokes gained need.
PUTTS = (*PUTT_KEY, "distance_ft", "leave_ft", "result", "slope", "surface")
NAMES = ("player", SQUAD)
_TEXTS = (*NAMES, "result", "slope", "surface")
_LONGEST_TEXT = 4 * MAX_NAME
# What a damaged file makes of its reading.
_UNREADABLE = (OSError, pa.ArrowException, pl.exceptions.PolarsError, MemoryError, OverflowError)


class UnreadableError(SgputtError):
    """A file of putts that cannot be used at all."""


@dataclass(frozen=True)
class Source:
    """A file of putts, by the name it goes by in what is said of it."""

    name: str
    path: Path

    @property
    def size(self) -> int:
        """Bytes; 0 where it cannot be looked at."""
        try:
            return self.path.stat().st_size
        except OSError:
            return 0

    def mark(self) -> str | None:
        """What changes when the file does; None where it cannot be looked at.

        Its full name, which file it is, its size, and when it was last written to or replaced.
        """
        try:
            found = self.path.stat()
        except OSError:
            return None
        state = (found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)
        return " ".join(map(str, (self.path.absolute(), *state)))


def find_sources(paths: Sequence[Path]) -> list[Source]:
    """All Parquet files among these files and, at any depth, in these folders, sorted by name.

    Raises
    ------
    SgputtError
        A path does not exist, or there is no such file.
    """
    found: dict[Path, Source] = {}
    for path in paths:
        if path.is_dir():
            for each in path.rglob(f"*{ENDING}"):
                if not each.is_dir():
                    whole = each.absolute()
                    found.setdefault(whole, Source(_as_text(each.relative_to(path)), whole))
        elif os.path.lexists(path):
            found.setdefault(path.absolute(), Source(_as_text(path.name), path.absolute()))
        else:
            raise SgputtError(f"There is no file or folder {path}.", "Name Parquet files of putts.")
    if not found:
        raise SgputtError(
            f"There is no {ENDING} file in {', '.join(map(str, paths))}.",
            "Write one with: sgputt export --what putts --out putts.parquet",
        )
    return sorted(found.values(), key=lambda each: (each.name, str(each.path)))


def _as_text(name: str | Path) -> str:
    """A name of whatever bytes as text."""
    return os.fsencode(name).decode("utf-8", "replace")


def read_slices(source: Source, rows_at_once: int = ROWS_AT_ONCE) -> Iterator[pl.DataFrame]:
    """Rows of a file as they are written, at most so many at a time, holes and rounds whole.

    The rows of a round must stand together where the file has more rows than that. ``row`` counts
    the rows of the file from 1; columns that are not used are not read. Names that are one but for
    capitals, spaces and unseen signs are spelled as the first of them.

    Raises
    ------
    UnreadableError
        The file is no Parquet file, lacks a column that is needed, or has one of another kind.
    """
    try:
        with _opened(source.path) as file:
            yield from _slices(file, rows_at_once)
    except UnreadableError:
        raise
    except _UNREADABLE as exc:
        said = str(exc).splitlines()[0] if str(exc) else type(exc).__name__
        raise UnreadableError(
            f"it cannot be read as Parquet: {shown(said.rstrip('.'), 120)}",
            "Write it again, or take it out of the folder.",
        ) from exc


def rows_of(source: Source) -> int:
    """Rows of a file; 0 where that cannot be read."""
    try:
        with _opened(source.path) as file:
            return min(int(file.metadata.num_rows), MOST_ROWS)
    except (UnreadableError, *_UNREADABLE):
        return 0


@contextmanager
def _opened(path: Path) -> Iterator[pq.ParquetFile]:
    # Not waiting, for a pipe may never be written to; looked at when open, for it may change.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    # By the handle, for a name may be of any bytes.
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise UnreadableError(
                "it is a folder, a device or a pipe, not a file", "Name Parquet files of putts."
            )
        source = pa.PythonFile(file, mode="r")
        facts = pq.ParquetFile(source).metadata
        leaves = {facts.schema.column(at).path for at in range(facts.num_columns)}
        words = [name for name in _TEXTS if name in leaves]
        # Each word once, however often a file repeats it.
        yield pq.ParquetFile(source, metadata=facts, read_dictionary=words)


def _slices(file: pq.ParquetFile, rows_at_once: int) -> Iterator[pl.DataFrame]:
    rows = file.metadata.num_rows
    if rows > MOST_ROWS:
        raise UnreadableError(
            f"it says that it has {rows} rows", f"Write files of up to {MOST_ROWS:,} rows."
        )
    names = _names_used(file.schema_arrow)
    spelling = Spelling()
    kinds = {name: file.schema_arrow.field(name).type for name in names}
    columns = [_column(name, kind, spelling) for name, kind in kinds.items()]
    held = pl.DataFrame()
    seen: pl.DataFrame | None = None
    start = waiting = 0
    for batch in _batches(file, names, rows_at_once):
        for column in columns:
            column.add(batch.column(column.name))
        start += batch.num_rows
        waiting += batch.num_rows
        if start < rows and held.height + waiting < rows_at_once:
            continue
        row = pl.int_range(start - waiting + 1, start + 1, dtype=pl.UInt32, eager=True)
        whole = pl.DataFrame([row.alias(ROW), *(column.take() for column in columns)])
        whole = pl.concat([held, whole]) if held.width else whole
        waiting = 0
        if start < rows:
            whole, held = _cut(whole)
        if rows > rows_at_once:
            seen = _seen_once(seen, whole)
        yield whole
    if start != rows:
        # A damaged count: rows would be left out without a word.
        raise UnreadableError(
            f"it says that it has {rows} rows, and {start} can be read", "Write it again."
        )


def _batches(file: pq.ParquetFile, names: list[str], most: int) -> Iterator[pa.RecordBatch]:
    """Rows as they lie in the file; one batch without rows where it has none."""
    any_yet = False
    for batch in file.iter_batches(batch_size=most, columns=names):
        any_yet = True
        yield batch
    if not any_yet:
        fields = [file.schema_arrow.field(name) for name in names]
        yield pa.RecordBatch.from_pylist([], schema=pa.schema(fields))


def _names_used(schema: pa.Schema) -> list[str]:
    """Columns to read, which must be there, once each."""
    missing = [name for name in _NEEDED if name not in schema.names]
    if missing:
        here = shown(", ".join(map(clean, schema.names)), 200)
        raise UnreadableError(
            f"there is no column {', '.join(missing)}",
            f"Needed are {', '.join(_NEEDED)}; here are {here}.",
        )
    names = [name for name in (*PUTTS, SQUAD) if name in schema.names]
    for name in names:
        if schema.names.count(name) > 1:
            raise UnreadableError(f"two columns are called {name}", "Rename one of them.")
    return names


_KINDS: dict[str, tuple[Callable[[pa.DataType], bool], ...]] = {
    "text": (
        pa.types.is_string,
        pa.types.is_large_string,
        pa.types.is_string_view,
        pa.types.is_binary,
        pa.types.is_large_binary,
        pa.types.is_binary_view,
        pa.types.is_fixed_size_binary,
        pa.types.is_null,
    ),
    "number": (pa.types.is_integer, pa.types.is_floating, pa.types.is_decimal),
    "date": (pa.types.is_date, pa.types.is_timestamp),
}
# What a column may be, and in words.
_MAY_BE: dict[str, tuple[tuple[str, ...], str]] = {
    **dict.fromkeys(_TEXTS, (("text", "number"), "text")),
    **dict.fromkeys(
        ("round", "hole", "putt", "distance_ft", "leave_ft"), (("text", "number"), "numbers")
    ),
    "date": (("text", "number", "date"), "dates, or texts such as 2026-05-03"),
}


def _column(name: str, kind: pa.DataType, spelling: Spelling) -> _Column:
    """How a column of that type is read; one that can hold nothing of the kind is an error."""
    allowed, words = _MAY_BE[name]
    plain = kind.value_type if pa.types.is_dictionary(kind) else kind
    is_a = [what for what in allowed if any(test(plain) for test in _KINDS[what])]
    if not is_a:
        raise UnreadableError(
            f"the column '{name}' is of the type {shown(str(kind))}; it may hold {words}",
            "Write it again with that column as said.",
        )
    return _Column(name, is_a[0] == "text", spelling)


@dataclass
class _Column:
    """A column as it is read, piece by piece; every piece is looked at when it comes."""

    name: str
    is_text: bool
    spelling: Spelling
    pieces: list[pa.Array] = field(default_factory=list)

    def add(self, piece: pa.Array) -> None:
        with self._said():
            piece.validate(full=True)
            if self.is_text and pa.types.is_dictionary(piece.type):
                longest = pc.max(pc.binary_length(piece.dictionary)).as_py() or 0
                if longest > _LONGEST_TEXT:
                    raise UnreadableError(
                        f"a text in the column '{self.name}' is {longest} letters long",
                        f"Names may have up to {MAX_NAME} letters.",
                    )
            self.pieces.append(piece)

    def take(self) -> pl.Series:
        """The values of all pieces since it was last asked for."""
        with self._said():
            pieces, self.pieces = self.pieces, []
            if self.is_text and pa.types.is_dictionary(pieces[0].type):
                return self._from_words(pa.chunked_array(pieces))
            layout = _as_strings if self.is_text else _as_values
            values = _series(pa.chunked_array([layout(piece) for piece in pieces]))
            values = self.spelling.of(self.name, values) if self.name in NAMES else values
        return values.alias(self.name)

    def _from_words(self, column: pa.ChunkedArray) -> pl.Series:
        """A column of few words that come again and again, by the words themselves."""
        column = column.unify_dictionaries()
        words = _series(_as_strings(column.chunk(0).dictionary).cast(pa.large_string()))
        # None is negative, for they were looked at; Polars takes them sooner without a sign.
        places = [piece.indices.cast(pa.uint32(), safe=False) for piece in column.chunks]
        if self.name in NAMES:
            words = self.spelling.of(self.name, words)
        kind = PUTTS_SCHEMA.get(self.name)
        if isinstance(kind, pl.Enum) and set(words.drop_nulls()) <= set(kind.categories):
            words = words.cast(kind)
        return words.gather(_series(pa.chunked_array(places))).alias(self.name)

    @contextmanager
    def _said(self) -> Iterator[None]:
        try:
            yield
        except UnreadableError:
            raise
        except _UNREADABLE as exc:
            raise UnreadableError(
                f"the column '{self.name}' cannot be read: {shown(str(exc), 120)}",
                "Write the file again, texts as UTF-8.",
            ) from exc


def _series(column: pa.Array | pa.ChunkedArray) -> pl.Series:
    values = pl.from_arrow(column)
    if not isinstance(values, pl.Series):
        raise pa.ArrowInvalid("it is no column of single values")
    return values


def _as_values(column: pa.Array) -> pa.Array:
    """Numbers or dates in a layout that Polars takes over."""
    if pa.types.is_dictionary(column.type):
        column = column.dictionary_decode()
    narrow = pa.types.is_decimal(column.type) or pa.types.is_float16(column.type)
    return column.cast(pa.float64()) if narrow else column


def _as_strings(column: pa.Array) -> pa.Array:
    """Text of whatever layout, where it is in UTF-8."""
    if pa.types.is_string(column.type) or pa.types.is_large_string(column.type):
        return column
    text = column.cast(pa.binary()) if pa.types.is_fixed_size_binary(column.type) else column
    return text.cast(pa.large_string())


@dataclass
class Spelling:
    """Names that are one, spelled as the first of them throughout a file."""

    known: dict[str, dict[str, str]] = field(default_factory=lambda: {name: {} for name in NAMES})

    def one_way(self, table: pl.DataFrame) -> pl.DataFrame:
        """A table with each name as its first spelling."""
        return table.with_columns(self.of(name, table[name]) for name in NAMES if name in table)

    def of(self, column: str, names: pl.Series) -> pl.Series:
        """Names of a column, each as its first spelling; what is not text stays."""
        if names.dtype != pl.String:
            return names
        changes = {}
        for name in names.unique(maintain_order=True).drop_nulls():
            key, cleaned = _key_of(name)
            spelled = self.known[column].setdefault(key, cleaned)
            if spelled != name:
                changes[name] = spelled or None
        return names.replace(changes) if changes else names


@lru_cache(maxsize=2**16)
def _key_of(name: str) -> tuple[str, str]:
    """Key and spelling of a name: a file's names are asked for again in each pass over its part."""
    return name_key(name), clean(name)


def _cut(part: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The rows before the last round, and that round, which may go on in the rows to come."""
    run = run_of(part, _keys(part))
    at = int(first_rows(run)[-1])
    if part.height - at > MOST_OF_A_ROUND:
        raise UnreadableError(
            f"row {part[ROW][at]} starts a round of more than {MOST_OF_A_ROUND} putts",
            "Give each round its player, date and number.",
        )
    return part.head(at), part.tail(part.height - at)


def _seen_once(seen: pl.DataFrame | None, rows: pl.DataFrame) -> pl.DataFrame:
    """Rounds seen so far; one that comes a second time is refused, for its holes may be cut."""
    keys = _keys(rows)
    now = rows.select(keys).unique(maintain_order=True)
    if seen is None:
        return now
    again = now.join(seen, on=keys, how="semi", nulls_equal=True, maintain_order="left")
    if again.height:
        which = ", ".join(str(value) for value in again.row(0))
        raise UnreadableError(
            f"rows of one round stand apart: {shown(which)}",
            "Sort the file by player, date, round, hole and putt.",
        )
    return pl.concat([seen, now])


def _keys(rows: pl.DataFrame) -> list[str]:
    return [name for name in ROUND_KEY if name in rows.columns]


PROBLEMS_SCHEMA: dict[str, pl.DataType] = {
    "file": pl.String(),
    "row": pl.Int64(),
    "column": pl.String(),
    "value": pl.String(),
    "what": pl.String(),
    "allowed": pl.String(),
    "hint": pl.String(),
}
NO_SQUAD = "all players"
# Further rows of a file that break the same rule are counted, not listed.
MOST_LISTED = 100


# Of the rules of the putts table, those of the columns that are read here.
RULES = (
    *(
        Rule(
            name,
            pl.col(f"unfit {name}") | (pl.col(name).str.len_chars() > MAX_NAME),
            f"a name of up to {MAX_NAME} letters",
            "Shorten it.",
        )
        for name in NAMES
    ),
    *(rule for rule in (*VALUES, *ORDER) if rule.column in PUTTS),
    Rule(
        SQUAD,
        ~pl.col(NEW_RUN) & (pl.col(SQUAD) != pl.col(SQUAD).shift(1)),
        "one squad a round",
        "Give all putts of the round the same squad.",
    ),
)


def typed(rows: pl.DataFrame) -> pl.DataFrame:
    """Rows of :func:`read_slices` in the order of their putts, every column with its type.

    Beside each column one that says where a value did not take it; rounds are marked.
    """
    columns = [pl.col(ROW)]
    for name in (*PUTTS, SQUAD):
        kind = PUTTS_SCHEMA.get(name, pl.String())
        default = NO_SQUAD if name == SQUAD else DEFAULTS.get(name)
        value, unfit = pl.lit(default, kind), pl.lit(False)
        if name in rows.columns:
            given = pl.col(name)
            value = _cast(given, rows.schema[name], kind)
            unfit = value.is_null() & given.is_not_null()
            value = value.fill_null(default) if default else value
        columns += [value.alias(name), unfit.alias(_unfit(name))]
    return in_order(rows.select(columns), PUTT_KEY, runs_of=ROUND_KEY)


def sift(table: pl.DataFrame, holes_alone: bool = False) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Part rows that can be used from those that break a rule.

    A round with a problem is left out whole, or only its holes that have one.

    Parameters
    ----------
    table : polars.DataFrame
        Whole rounds of :func:`typed`.
    holes_alone : bool
        Leave out only holes with a problem.

    Returns
    -------
    good : polars.DataFrame
        The columns of the putts table that strokes gained need and ``squad``, sorted by player,
        date, round, hole and putt, with the rounds marked.
    wrong : polars.DataFrame
        For :func:`problems_of`.
    """
    table = _placed(table)
    broken = table.select(_broken(rule).alias(str(at)) for at, rule in enumerate(RULES))
    any_broken = broken.select(pl.any_horizontal(pl.all())).to_series()
    wrong = table.filter(any_broken).hstack(broken.filter(any_broken))
    if wrong.is_empty():
        return _good(table), wrong
    keys = HOLE_KEY if holes_alone else ROUND_KEY
    kept = table.join(wrong, on=keys, how="anti", nulls_equal=True, maintain_order="left")
    return _good(kept.with_columns(pl.Series(NEW_RUN, starts(kept, ROUND_KEY)))), wrong


def problems_of(wrong: pl.DataFrame, rows: pl.DataFrame, file: str) -> tuple[pl.DataFrame, int]:
    """What is wrong with rows, as :data:`PROBLEMS_SCHEMA` has it, and how much, also if not listed.

    Parameters
    ----------
    wrong : polars.DataFrame
        From :func:`sift`.
    rows : polars.DataFrame
        From :func:`read_slices`, as they are written.
    file : str
        Name to give the file.
    """
    listed = [pl.DataFrame(schema=PROBLEMS_SCHEMA)]
    listed += [
        _listed(rule, wrong.filter(str(at)), rows, file)
        for at, rule in enumerate(RULES)
        if wrong[str(at)].any()
    ]
    found = sum(int(wrong[str(at)].sum()) for at in range(len(RULES)))
    return pl.concat(listed).sort("row"), found


def _broken(rule: Rule) -> pl.Expr:
    broken = rule.broken.fill_null(False)
    # A value that did not take its type is null by now.
    return pl.col(_unfit(rule.column)) | broken if rule in VALUES else broken


def _unfit(name: str) -> str:
    """Column that says where a value did not take its type."""
    return f"unfit {name}"


def _cast(given: pl.Expr, was: pl.DataType, kind: pl.DataType) -> pl.Expr:
    """Values in their type; null where they do not fit it."""
    if was == kind:
        return given
    if isinstance(kind, pl.Enum):
        return given.cast(pl.String, strict=False).cast(kind, strict=False)
    if kind == pl.Date:
        # A number would be taken for days since 1970: 20260503 for a day in the year 57441.
        if isinstance(was, pl.Datetime):
            return given.dt.date()
        return given.cast(pl.String, strict=False).str.to_date("%Y-%m-%d", strict=False)
    value = given.cast(kind, strict=False)
    if kind.is_integer():
        whole = value.cast(pl.Float64) == given.cast(pl.Float64, strict=False)
        return pl.when(whole).then(value)
    return value


def _placed(table: pl.DataFrame) -> pl.DataFrame:
    """Add each putt's place in its hole, from 1, whether it is the last, and what follows it."""
    table = table.with_columns(pl.col("distance_ft", "leave_ft").fill_nan(None))
    starts_hole = table[NEW_RUN].to_numpy() | starts(table, ["hole"])
    holes = np.flatnonzero(starts_hole)
    row = np.arange(table.height, dtype=np.int32)
    first = np.repeat(row[holes], np.diff(holes, append=table.height))
    return table.with_columns(
        pl.Series(PLACE, row - first + 1),
        pl.Series(LAST, np.append(starts_hole, True)[1:]),
        pl.col("distance_ft").shift(-1).alias(NEXT_FT),
        pl.when(pl.Series(~starts_hole)).then(pl.col("putt").shift(1)).alias(BEFORE),
    )


def _good(table: pl.DataFrame) -> pl.DataFrame:
    """The columns for strokes gained; a leave that was not written is the next putt's length."""
    left = pl.coalesce("leave_ft", pl.when(~pl.col(LAST)).then(NEXT_FT))
    leave = pl.when(pl.col("result") == "holed").then(0.0).when(MISSED).then(left)
    return table.with_columns(leave.alias("leave_ft")).select(*PUTTS, SQUAD, NEW_RUN)


def _listed(rule: Rule, wrong: pl.DataFrame, given: pl.DataFrame, file: str) -> pl.DataFrame:
    """The first of the rows that break a rule, with what stood there and the fault in words."""
    first = wrong.sort(ROW).head(MOST_LISTED)
    there = given.filter(pl.col(ROW).is_in(first[ROW].implode())).sort(ROW)
    value = pl.col(rule.column) if rule.column in given.columns else pl.lit(None)
    stood = there.select(value.cast(pl.String, strict=False).fill_null("")).to_series()
    return pl.DataFrame(
        [
            (file, row[ROW], rule.column, shown(text), rule.said(row), rule.allowed, rule.hint)
            for row, text in zip(first.iter_rows(named=True), stood, strict=True)
        ],
        schema=PROBLEMS_SCHEMA,
        orient="row",
    )

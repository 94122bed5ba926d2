"""Files of putts that nobody would write: each is named, with its column; the others are done."""

from __future__ import annotations

import datetime as dt
import errno
import io
import os
import random
import zipfile
from concurrent.futures import Executor, Future
from decimal import Decimal
from pathlib import Path
from typing import Any

import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk import kept as kept_module
from sgputt.bulk import run
from sgputt.bulk.kept import Kept
from sgputt.bulk.putts_files import UnreadableError, find_sources, read_slices
from sgputt.bulk.reduce import Task, reduce_file
from sgputt.bulk.report import Bulk, merge
from sgputt.bulk.run import WorkerLostError, reduce_all
from tests.bulk.folder import putts, write
from tests.cli.conftest import command

TASK = Task(get_baseline())
GOOD = putts("Ada Brook", 2)


def table(**columns: pa.Array) -> pa.Table:
    """The good putts, with other columns in place of theirs."""
    found: pa.Table = GOOD.drop("event", "source").to_arrow()
    for name, values in columns.items():
        if name in found.column_names:
            found = found.drop_columns([name])
        found = found.append_column(name, values)
    return found


def bulk_of(*tables: pa.Table, folder: Path) -> Bulk:
    folder.mkdir(exist_ok=True)
    for number, each in enumerate(tables):
        pq.write_table(each, folder / f"{number}.parquet")
    sources = find_sources([folder])
    return merge(sources, reduce_all(sources, TASK), TASK)


def each_row(value: Any, kind: pa.DataType | None = None) -> pa.Array:
    return pa.array([value] * GOOD.height, kind)


SECOND = dt.timedelta(seconds=1)
UNUSABLE = {
    "list of names": ("player", each_row(["Ada"])),
    "list of lengths": ("distance_ft", each_row([8.0])),
    "list squad": ("squad", each_row(["North"])),
    "struct": ("result", each_row({"made": True})),
    "map": ("player", each_row([("a", 1)], pa.map_(pa.string(), pa.int8()))),
    "fixed list": ("leave_ft", each_row([1.0, 2.0], pa.list_(pa.float64(), 2))),
    "duration as a hole": ("hole", each_row(SECOND)),
    "duration as a length": ("distance_ft", each_row(SECOND)),
    "duration as a date": ("date", each_row(SECOND)),
    "time of day": ("date", each_row(dt.time(9, 30))),
    "date as a putt": ("putt", each_row(dt.date(2026, 5, 3))),
    "instant as a round": ("round", each_row(dt.datetime(2026, 5, 3))),
    "true as a putt": ("putt", each_row(True)),
    "true as a result": ("result", each_row(True)),
    "bytes that are no text": ("player", each_row(b"\xff\xfe\x80")),
    "bytes as words": ("result", each_row(b"\xff")),
    "text that is not UTF-8": (
        "player",
        pa.Array.from_buffers(
            pa.string(), GOOD.height, [*each_row("ab").buffers()[:2], pa.py_buffer(b"\xff" * 9999)]
        ),
    ),
    "a name without end": ("player", each_row("A" * 100_000)),
}


@pytest.mark.parametrize("name", UNUSABLE)
def test_a_column_that_can_hold_nothing_of_the_kind(tmp_path: Path, name: str) -> None:
    column, values = UNUSABLE[name]
    bulk = bulk_of(table(**{column: values}), table(), folder=tmp_path / "f")
    assert (bulk.found, bulk.kept, bulk.read) == (1, GOOD.height, 2 * GOOD.height)
    (told,) = bulk.problems.to_dicts()
    assert told["file"] == "0.parquet" and column in told["what"] and told["hint"]


DAYS = pa.array(GOOD["date"].to_list())
FINE = {
    "categories": ("player", pa.array(["Ada Brook"] * GOOD.height).dictionary_encode()),
    "bytes that are text": ("player", each_row(b"Ada Brook")),
    "views": ("player", each_row("Ada Brook", pa.string_view())),
    "bytes of one width": ("player", each_row(b"Ada Brook", pa.binary(9))),
    "holes as text": ("hole", pa.array(GOOD["hole"].cast(pl.String).to_list())),
    "holes as categories": (
        "hole",
        pa.array(GOOD["hole"].cast(pl.String).to_list()).dictionary_encode(),
    ),
    "lengths as decimals": (
        "distance_ft",
        pa.array(
            [None if v is None else Decimal(f"{v:.1f}") for v in GOOD["distance_ft"]],
            pa.decimal128(6, 1),
        ),
    ),
    "dates as text": ("date", pa.array([str(day) for day in GOOD["date"]])),
    "dates as categories": (
        "date",
        pa.array([str(day) for day in GOOD["date"]]).dictionary_encode(),
    ),
    "dates with a time": ("date", DAYS.cast(pa.timestamp("ms"))),
    "results as bytes": ("result", pa.array([v.encode() for v in GOOD["result"].cast(str)])),
    "no squads": ("squad", each_row(None, pa.null())),
    "small numbers": ("putt", pa.array(GOOD["putt"].to_list(), pa.uint8())),
    "half floats": ("leave_ft", each_row(None, pa.float16())),
}


@pytest.mark.parametrize("name", FINE)
def test_other_ways_to_write_the_same(tmp_path: Path, name: str) -> None:
    column, values = FINE[name]
    bulk = bulk_of(table(**{column: values}), folder=tmp_path / "f")
    assert (bulk.found, bulk.kept) == (0, GOOD.height), bulk.problems.to_dicts()[:2]


def test_two_columns_of_one_name(tmp_path: Path) -> None:
    found = table()
    found = found.append_column("putt", found["putt"])
    bulk = bulk_of(found, table(), folder=tmp_path / "f")
    assert "two columns are called putt" in bulk.problems["what"][0] and bulk.kept == GOOD.height


def test_years_as_import_takes_them(tmp_path: Path) -> None:
    for day in (dt.date(1949, 12, 31), dt.date(2100, 1, 1), dt.date(9999, 1, 1)):
        bulk = bulk_of(table(date=each_row(day)), folder=tmp_path / "f")
        assert bulk.kept == 0 and "1950" in bulk.problems["allowed"][0]


def test_names_that_look_the_same_are_one_player(tmp_path: Path) -> None:
    names = ("Zoë Brook", "ZOË  brook", "Zoe\u0308 Brook", "Zoë Brook\u200f")
    tables = [
        table(player=each_row(name), round=each_row(number)) for number, name in enumerate(names, 1)
    ]
    bulk = bulk_of(*tables, folder=tmp_path / "apart")
    assert bulk.players["player"].to_list() == ["Zoë Brook"]
    assert bulk.players["rounds"].to_list() == [8] and bulk.found == 0
    one = bulk_of(pa.concat_tables(tables), folder=tmp_path / "together")
    assert one.players["player"].to_list() == ["Zoë Brook"]
    assert one.players["rounds"].to_list() == [8]
    again = bulk_of(tables[0], tables[0].set_column(0, "player", each_row("ZOË brook")),
                    folder=tmp_path / "again")  # fmt: skip
    assert again.players["rounds"].to_list() == [2] and again.found == 1


def test_names_of_files_in_any_bytes(tmp_path: Path) -> None:
    path = os.fsencode(tmp_path) + b"/r\xf6nde.parquet"
    pq.write_table(table(), tmp_path / "plain.parquet")
    os.rename(tmp_path / "plain.parquet", path)  # noqa: PTH104
    (tmp_path / "bad.parquet").write_bytes(b"PAR1")
    ran = command("bulk", tmp_path, "--parts", tmp_path / "parts", "--json")
    assert ran.status == 1 and ran.json["putts_counted_in"] == GOOD.height
    again = command("bulk", tmp_path, "--parts", tmp_path / "parts", "--json")
    assert again.content == ran.content


def test_what_is_no_file_is_said_and_never_waited_for(tmp_path: Path) -> None:
    pq.write_table(table(), tmp_path / "good.parquet")
    os.mkfifo(tmp_path / "pipe.parquet")
    (tmp_path / "loop.parquet").symlink_to("loop.parquet")
    (tmp_path / "gone.parquet").symlink_to("nowhere")
    (tmp_path / "empty.parquet").touch()
    ran = command("bulk", tmp_path, "--json", "--parts", tmp_path / "parts")
    assert ran.status == 1 and ran.json["putts_counted_in"] == GOOD.height
    said = {row["file"]: row["what"] for row in ran.json["problems"]}
    assert sorted(said) == ["empty.parquet", "gone.parquet", "loop.parquet", "pipe.parquet"]
    assert "pipe" in said["pipe.parquet"]
    alone = command("bulk", tmp_path / "pipe.parquet", "--parts", tmp_path / "parts")
    assert alone.status == 1 and "pipe" in alone.err and "Traceback" not in alone.err
    assert command("bulk", os.devnull, "--parts", tmp_path / "parts").status == 1


def test_the_same_words_as_everywhere(tmp_path: Path) -> None:
    twice = pa.concat_tables([table(), table().slice(0, 1)])
    bulk = bulk_of(twice, folder=tmp_path / "f")
    assert any("stands twice" in what for what in bulk.problems["what"])


@pytest.mark.parametrize("compression", ["snappy", "none", "zstd"])
def test_damaged_files_end_nothing(tmp_path: Path, compression: str) -> None:
    """A whole folder of them in one process: said, and the good one done."""
    folder = tmp_path / "f"
    folder.mkdir()
    pq.write_table(table(), folder / "good.parquet")
    other = table(player=each_row("Tom Vale"))
    path = folder / "base"
    pq.write_table(other, path, compression=compression, data_page_size=500, row_group_size=20)
    content = path.read_bytes()
    for seed in range(40):
        rng, spoilt = random.Random(seed), bytearray(content)
        for _ in range(rng.choice([1, 3, 12])):
            at = rng.randrange(len(spoilt))
            put = rng.randbytes(rng.choice([1, 4, 40]))
            spoilt[at : at + len(put)] = put
        half = len(spoilt) // 2 if seed % 8 == 0 else len(spoilt)
        (folder / f"{seed:02}.parquet").write_bytes(spoilt[:half])
    bulk = bulk_of(folder=folder)
    assert bulk.players.filter(player="Ada Brook")["rounds"].to_list() == [2]
    assert bulk.found > 5 and not any("\n" in what for what in bulk.problems["what"])


def test_a_count_of_rows_that_is_wrong_loses_none_in_silence(tmp_path: Path) -> None:
    pq.write_table(table(), tmp_path / "0.parquet")
    (source,) = find_sources([tmp_path])
    whole = source.path.read_bytes()
    footer = len(whole) - 8 - int.from_bytes(whole[-8:-4], "little")
    # As the footer writes a whole number: twice it, seven bits a byte.
    twice = 2 * GOOD.height
    written = bytes([twice % 128 + 128, twice // 128]) if twice > 127 else bytes([twice])
    places = [at for at in range(footer, len(whole) - 8) if whole[at:].startswith(written)]
    told = 0
    for at in places:
        for change in (2, -2):
            wrong = bytes([written[0] + change, *written[1:]])
            source.path.write_bytes(whole[:at] + wrong + whole[at + len(wrong) :])
            try:
                read = [each.height for each in read_slices(source)]
            except UnreadableError:
                told += 1
            else:
                assert sum(read) == GOOD.height
    assert told > 2


def test_a_part_of_a_wrong_shape_is_made_again(tmp_path: Path) -> None:
    bulk_of(table(), folder=tmp_path / "f")
    (source,), kept = find_sources([tmp_path / "f"]), Kept(tmp_path, TASK)
    part, mark = reduce_file(source, TASK), source.mark()
    assert mark is not None
    assert kept.keep(mark, part) is not None
    (place,) = kept.folder.glob("*.part")
    with zipfile.ZipFile(place) as file:
        members = {name: file.read(name) for name in file.namelist()}
    other = io.BytesIO()
    pl.DataFrame({"player": ["x"]}).write_parquet(other)
    spoilt = {
        "rounds.parquet": other.getvalue(),
        "cells.parquet": b"PAR1",
        "problems.parquet": other.getvalue(),
        "counts.json": b"[1, 2]",
    }
    assert set(spoilt) == set(members)
    for name, content in spoilt.items():
        with zipfile.ZipFile(place, "w") as file:
            for member, good in members.items():
                file.writestr(member, content if member == name else good)
        assert kept.find(source) is None, name
    kept.keep(mark, part)
    assert kept.find(source) is not None


def test_a_full_disk_for_parts_costs_no_figures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bulk_of(table(), table(player=each_row("Tom Vale")), folder=tmp_path / "f")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(kept_module, "half_written", full)
    ran = command("bulk", tmp_path / "f", "--json", "--parts", tmp_path / "parts")
    assert ran.status == 0 and ran.json["putts_counted_in"] == 2 * GOOD.height
    assert ran.err.count("no longer kept: No space left on device") == 1


class _Leaving(Executor):
    """Takes work and does none of it; after a while it is not there any more."""

    def __init__(self, cancels: bool) -> None:
        self.cancels = cancels

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        if self.cancels:
            future.cancel()
            future.set_running_or_notify_cancel()
        return future

    def is_there(self) -> bool:
        return False


@pytest.mark.parametrize("cancels", [True, False])
def test_a_scheduler_that_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cancels: bool
) -> None:
    """Its futures are cancelled, or never end."""
    monkeypatch.setattr(run, "_LOOK_SECONDS", 0.05)
    bulk_of(table(), folder=tmp_path / "f")
    with pytest.raises(WorkerLostError, match="shared out the work has gone"):
        reduce_all(find_sources([tmp_path / "f"]), TASK, executor=_Leaving(cancels))


def test_folders_that_are_called_like_files(tmp_path: Path) -> None:
    write(tmp_path, {"2026.parquet/part.parquet": GOOD})
    assert [each.name for each in find_sources([tmp_path])] == ["2026.parquet/part.parquet"]

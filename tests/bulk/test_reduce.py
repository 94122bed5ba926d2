"""One file reduced: the same as the engine's own way, in slices or whole, good or bad."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk import putts_files, reduce
from sgputt.bulk.putts_files import Source, find_sources
from sgputt.bulk.reduce import Part, Task, reduce_file
from sgputt.errors import SgputtError
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import by_slices
from sgputt.gained.sums import SUMS, round_sums
from sgputt.putts.table import HOLE_KEY, PUTT_KEY, ROUND_KEY, conform_putts
from sgputt.season.scored import score
from tests.benchmarks.dense import CELLS, curves_of, dense_sums
from tests.benchmarks.plain_pandas import pandas_sums
from tests.bulk.folder import PLAYERS, frames, putts, spoilt, write

TASK = Task(get_baseline())
PARTS = ["strokes_gained", "holing", "leave", "not_split", "conceded"]


@pytest.fixture
def north(tmp_path: Path) -> Source:
    table = frames()["2025/north.parquet"]
    return found(write(tmp_path, {"north.parquet": table}))


def found(folder: Path) -> Source:
    (one,) = find_sources([folder])
    return one


def same(one: Part, other: Part) -> None:
    assert_frame_equal(one.rounds, other.rounds, check_exact=True)
    assert_frame_equal(one.cells, other.cells, rel_tol=1e-12)
    assert (one.read, one.kept, one.found) == (other.read, other.kept, other.found)


def test_rounds_are_those_of_a_season(north: Source) -> None:
    """The same rounds scored as a season is, whose sums another implementation checks."""
    part = reduce_file(north, TASK)
    scored = score(conform_putts(pl.read_parquet(north.path)), TASK.baseline).rounds.sort(ROUND_KEY)
    counts = ["holes", "putts", "three_putts"]
    assert_frame_equal(
        part.rounds.select(*ROUND_KEY, *counts, *PARTS),
        scored.select(*ROUND_KEY, *(pl.col(name).cast(pl.Int64) for name in counts), *PARTS),
        abs_tol=1e-9,
    )
    assert part.rounds["not_split"].abs().sum() > 0
    assert part.read == part.kept == pl.read_parquet(north.path).height


def test_cells_add_up_to_the_rounds(north: Source) -> None:
    part = reduce_file(north, TASK)
    cells = part.cells.group_by("player").agg(pl.col(*SUMS).sum()).sort("player")
    rounds = part.rounds.group_by("player").agg(pl.col(*PARTS, "counted").sum()).sort("player")
    for name in PARTS[:4]:
        assert cells[name].to_list() == pytest.approx(rounds[name].to_list(), abs=1e-9)
    assert cells["putts"].to_list() == rounds["counted"].to_list()
    assert part.cells.columns == ["squad", "player", "season", "band", "slope", *SUMS]


@pytest.mark.parametrize("rows_at_once", [40, 101, 1000])
def test_slices_give_the_same(
    north: Source, rows_at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = reduce_file(north, TASK)
    slices = []

    def fewer(one: Source) -> object:
        for rows in putts_files.read_slices(one, rows_at_once):
            slices.append(rows.height)
            yield rows

    monkeypatch.setattr(reduce, "read_slices", fewer)
    same(reduce_file(north, TASK), whole)
    assert sum(slices) == whole.read
    assert len(slices) > 1 or rows_at_once == 1000


def test_threads_give_the_same_to_the_last_digit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = pl.concat(frames().values(), how="diagonal")
    for row in range(40, table.height, 300):
        table = spoilt(table, row, "distance_ft", -1.0)
    folder = write(tmp_path, {"all.parquet": table})
    whole = reduce_file(found(folder), TASK)
    monkeypatch.setattr(reduce, "by_slices", partial(by_slices, rows=20))
    parted = reduce_file(found(folder), TASK)
    assert_frame_equal(whole.rounds, parted.rounds, check_exact=True)
    exact = {"check_row_order": False, "check_exact": True}
    assert_frame_equal(whole.cells, parted.cells, **exact)
    assert whole.found > 1
    assert_frame_equal(whole.problems, parted.problems)
    assert (whole.read, whole.kept, whole.found) == (parted.read, parted.kept, parted.found)


def test_rounds_apart_in_slices_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = putts(PLAYERS[0], 6).sample(fraction=1, shuffle=True, seed=2)
    one = found(write(tmp_path, {"mixed.parquet": table}))
    assert reduce_file(one, TASK).kept == table.height
    monkeypatch.setattr(reduce, "read_slices", lambda file: putts_files.read_slices(file, 50))
    part = reduce_file(one, TASK)
    assert (part.kept, part.found, part.read) == (0, 1, table.height)
    told = part.problems.row(0, named=True)
    assert "rows of one round stand apart: Ada Brook, 2026-04-" in told["value"]
    assert "Sort the file" in told["hint"]


def test_a_round_without_end_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(putts_files, "MOST_OF_A_ROUND", 20)
    monkeypatch.setattr(reduce, "read_slices", lambda file: putts_files.read_slices(file, 30))
    one = found(write(tmp_path, {"one.parquet": putts(PLAYERS[0], 4)}))
    part = reduce_file(one, TASK)
    assert part.found == 1 and "starts a round of more than 20 putts" in part.problems["value"][0]


def test_rows_in_are_rows_counted_and_rows_left_out(tmp_path: Path) -> None:
    table = spoilt(putts(PLAYERS[0], 4), 50, "distance_ft", -1.0)
    one = found(write(tmp_path, {"one.parquet": table}))
    part, holes = reduce_file(one, TASK), reduce_file(one, Task(TASK.baseline, holes_alone=True))
    assert part.rounds.height == 3 and holes.rounds.height == 4
    assert part.read == holes.read == table.height
    assert part.kept < holes.kept < table.height
    clean = strokes_gained(
        conform_putts(table.filter(pl.col("date") != table["date"][49])), TASK.baseline
    )
    assert part.kept == clean.height
    expected = round_sums(clean)["strokes_gained"].sum()
    assert part.cells["strokes_gained"].sum() == pytest.approx(expected)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "cannot be read as Parquet"),
        (b"hole,putts\n1,2\n" * 50, "cannot be read as Parquet"),
        (None, "there is no column hole, result"),
    ],
)
def test_files_that_are_none(tmp_path: Path, content: bytes | None, said: str) -> None:
    path = tmp_path / "a.parquet"
    if content is None:
        putts(PLAYERS[0], 1).drop("hole", "result").write_parquet(path)
    else:
        path.write_bytes(content)
    part = reduce_file(found(tmp_path), TASK)
    assert part.found == 1 and part.kept == 0 and part.rounds.is_empty()
    assert said in part.problems["value"].item()
    assert part.problems["row"].item() is None


def test_a_file_cut_short(tmp_path: Path) -> None:
    path = write(tmp_path, {"a.parquet": putts(PLAYERS[0])}) / "a.parquet"
    path.write_bytes(path.read_bytes()[:-200])
    assert "cannot be read as Parquet" in reduce_file(found(tmp_path), TASK).problems["value"][0]


def test_a_file_without_rows(tmp_path: Path) -> None:
    part = reduce_file(found(write(tmp_path, {"a.parquet": putts(PLAYERS[0]).clear()})), TASK)
    assert (part.read, part.kept, part.found) == (0, 0, 0)


def test_finding_files(tmp_path: Path) -> None:
    folder = write(tmp_path, frames())
    (folder / "notes.txt").write_text("not putts", encoding="utf-8")
    names = [each.name for each in find_sources([folder])]
    assert names == sorted(frames())
    twice = find_sources([folder, folder / "late.parquet", folder / "2025"])
    assert len(twice) == len(names)
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(SgputtError, match=r"no \.parquet file"):
        find_sources([empty])
    with pytest.raises(SgputtError, match="no file or folder"):
        find_sources([tmp_path / "none"])


def test_what_the_benchmark_compares_with_gives_the_same_sums(tmp_path: Path) -> None:
    """So that the benchmark compares like with like; also further implementations of the sums."""
    whole = pl.concat([putts(player, seed=n) for n, player in enumerate(PLAYERS)])
    complete = pl.col("distance_ft").is_not_null() & pl.col("leave_ft").is_not_null()
    whole = whole.filter(complete.all().over(HOLE_KEY)).sort(PUTT_KEY)
    path = write(tmp_path, {"a.parquet": whole}) / "a.parquet"
    curves = curves_of(TASK.baseline)
    dense = dense_sums(path, curves)
    ours = round_sums(strokes_gained(whole, TASK.baseline))
    taken = dense["putts"].ravel() > 0
    assert dense["putts"].shape[1] == CELLS
    for name in SUMS:
        assert dense[name].ravel()[taken] == pytest.approx(ours[name].to_numpy(), abs=1e-12)
    # At the lowest versions pandas does not take the words of an enum from Parquet.
    texts = write(tmp_path, {"b.parquet": whole.cast({pl.Enum: pl.String})}) / "b.parquet"
    pandas = pl.from_pandas(pandas_sums([texts], curves).astype({"band": str}))
    plain = pandas.sort(*ROUND_KEY, "putts", "strokes_gained")
    ours = ours.sort(*ROUND_KEY, "putts", "strokes_gained")
    assert plain.height == ours.height
    for name in SUMS:
        assert plain[name].to_numpy() == pytest.approx(ours[name].to_numpy(), abs=1e-9)

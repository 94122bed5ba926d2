"""Many files: by whatever executor, after a stop, with a lost worker, always the same figures."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import polars as pl
import psutil
import pytest
from polars.testing import assert_frame_equal

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk import report, run
from sgputt.bulk.kept import Kept, KeptPart
from sgputt.bulk.putts_files import Source, find_sources
from sgputt.bulk.reduce import BUCKETS, Part, Task, reduce_file
from sgputt.bulk.report import Bulk, merge
from sgputt.bulk.run import WorkerLostError, processes, reduce_all
from sgputt.errors import SgputtError
from tests.bulk.folder import TABLES, exactly_the_same, frames, putts, write

TASK = Task(get_baseline())


def places(folder: Path) -> list[Path]:
    """Files of the parts kept in a folder."""
    return sorted(folder.glob("sgputt-parts/*.part"))


def keep(kept: Kept, source: Source, part: Part) -> None:
    mark = source.mark()
    assert mark is not None
    kept.keep(mark, part)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(tmp_path_factory.mktemp("putts"), frames())


@pytest.fixture
def sources(folder: Path) -> list[Source]:
    return find_sources([folder])


def here(sources: list[Source]) -> Bulk:
    return merge(sources, reduce_all(sources, TASK), TASK)


def test_two_processes(sources: list[Source]) -> None:
    told: list[Source] = []
    with processes(2) as pool:
        assert pool is not None
        parts = reduce_all(sources, TASK, executor=pool, done=told.append)
    assert sorted(told, key=str) == sorted(sources, key=str)
    assert "POLARS_MAX_THREADS" not in os.environ
    exactly_the_same(merge(sources, parts, TASK), here(sources))


def test_any_executor(sources: list[Source]) -> None:
    with ThreadPoolExecutor(3) as pool:
        parts = reduce_all(sources, TASK, executor=pool)
    exactly_the_same(merge(sources, parts, TASK), here(sources))


def test_parts_of_files_merge_like_one_file(folder: Path, tmp_path: Path) -> None:
    whole = pl.concat([pl.read_parquet(each.path) for each in find_sources([folder])])
    one = find_sources([write(tmp_path, {"whole.parquet": whole})])
    for name in TABLES[:5]:
        left, right = (getattr(here(each), name) for each in (one, find_sources([folder])))
        assert_frame_equal(left, right, rel_tol=1e-9, abs_tol=1e-9)


def test_a_stopped_run_goes_on(
    sources: list[Source], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = Kept(tmp_path / "parts", TASK)
    done: list[str] = []

    def stopping(source: Source, task: Task) -> Part:
        if len(done) == 2:
            raise KeyboardInterrupt
        done.append(source.name)
        return reduce_file(source, task)

    monkeypatch.setattr(run, "reduce_file", stopping)
    with pytest.raises(KeyboardInterrupt):
        reduce_all(sources, TASK, kept)
    monkeypatch.setattr(run, "reduce_file", lambda source, task: pytest.fail(source.name))
    assert len(places(tmp_path / "parts")) == 2
    again: list[str] = []

    def going_on(source: Source, task: Task) -> Part:
        again.append(source.name)
        return reduce_file(source, task)

    monkeypatch.setattr(run, "reduce_file", going_on)
    parts = reduce_all(sources, TASK, kept)
    assert sorted(done + again) == [each.name for each in sources] and len(again) == 2
    exactly_the_same(merge(sources, parts, TASK), here(sources))


def test_what_is_kept_is_of_that_file_task_and_version(
    sources: list[Source], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = Kept(tmp_path, TASK)
    part = reduce_file(sources[0], TASK)
    keep(kept, sources[0], part)
    keep(kept, sources[0], part)
    found = kept.find(sources[0])
    assert found is not None
    for buckets in (range(BUCKETS), range(5), range(7, 12)):
        rounds, cells = found.rounds_of(buckets), found.cells_of(buckets)
        assert_frame_equal(rounds, part.rounds_of(buckets), check_exact=True)
        assert_frame_equal(cells, part.cells_of(buckets), check_exact=True)
    assert found.heights == part.heights and found.squads == part.squads
    assert kept.find(sources[1]) is None
    assert Kept(tmp_path, Task(TASK.baseline, holes_alone=True)).find(sources[0]) is None
    assert Kept(tmp_path, Task(get_baseline("club"))).find(sources[0]) is None
    with monkeypatch.context() as patch:
        patch.setattr("sgputt.bulk.kept.version", lambda name: "9.9")
        assert Kept(tmp_path, TASK).find(sources[0]) is None
    os.utime(sources[0].path, ns=(1, 1))
    assert kept.find(sources[0]) is None


def test_a_file_of_the_same_size_and_time_is_another_file(tmp_path: Path) -> None:
    path = write(tmp_path, {"putts.parquet": putts("Ada Brook", 2)}) / "putts.parquet"
    (source,), kept = find_sources([path]), Kept(tmp_path / "parts", TASK)
    keep(kept, source, reduce_file(source, TASK))
    before = path.stat()
    (tmp_path / "new").write_bytes(path.read_bytes())
    (tmp_path / "new").replace(path)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert (path.stat().st_size, path.stat().st_mtime_ns) == (before.st_size, before.st_mtime_ns)
    assert kept.find(source) is None


@pytest.mark.parametrize("with_executor", [False, True])
def test_a_file_that_is_replaced_while_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, with_executor: bool
) -> None:
    """The figures of the old file were kept under the mark of the new one."""
    path = write(tmp_path, {"putts.parquet": putts("Ada Brook", 2)}) / "putts.parquet"
    (source,), kept = find_sources([path]), Kept(tmp_path / "parts", TASK)
    new = putts("Ada Brook", 5)
    reads: list[Source] = []

    def replacing(source: Source, task: Task) -> Part:
        part = reduce_file(source, task)
        reads.append(source)
        if len(reads) == 1:
            new.write_parquet(path)
        return part

    monkeypatch.setattr(run, "reduce_file", replacing)
    with ThreadPoolExecutor(1) as pool:
        (part,) = reduce_all([source], TASK, kept, pool if with_executor else None)
    assert len(reads) == 2
    found = kept.find(source)
    assert found is not None and sum(part.heights) == sum(found.heights) == 5


def test_a_file_that_never_rests_is_said_and_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(tmp_path, {"putts.parquet": putts("Ada Brook", 2)}) / "putts.parquet"
    (source,), kept = find_sources([path]), Kept(tmp_path / "parts", TASK)

    def replacing(source: Source, task: Task) -> Part:
        part = reduce_file(source, task)
        path.write_bytes(path.read_bytes())
        return part

    monkeypatch.setattr(run, "reduce_file", replacing)
    (part,) = reduce_all([source], TASK, kept)
    assert part.found == 1 and part.kept == 0
    assert "changed each time while it was read" in part.problems["value"][0]
    assert kept.find(source) is None


def test_a_file_that_is_gone_stops_no_other(sources: list[Source]) -> None:
    gone = Source("gone.parquet", sources[0].path.with_name("gone.parquet"))
    parts = reduce_all([gone, *sources], TASK)
    assert parts[0].found == 1 and "cannot be read" in parts[0].problems["value"][0]
    assert all(part.kept for part in parts[1:])


def test_a_spoilt_part_is_made_again(sources: list[Source], tmp_path: Path) -> None:
    kept = Kept(tmp_path, TASK)
    keep(kept, sources[0], reduce_file(sources[0], TASK))
    (place,) = places(tmp_path)
    content = place.read_bytes()
    for spoilt in (content[: len(content) // 2], b"", b"PK" * 300, content[:200] + content[260:]):
        place.write_bytes(spoilt)
        assert kept.find(sources[0]) is None
    place.write_bytes(content)
    assert kept.find(sources[0]) is not None
    place.unlink()
    os.mkfifo(place)
    assert kept.find(sources[0]) is None


def test_fresh_takes_nothing_kept(sources: list[Source], tmp_path: Path) -> None:
    kept = Kept(tmp_path, TASK)
    reduce_all(sources[:1], TASK, kept)
    (place,) = places(tmp_path)
    before = place.stat().st_ino
    reduce_all(sources[:1], TASK, kept)
    assert place.stat().st_ino == before
    reduce_all(sources[:1], TASK, kept, fresh=True)
    assert place.stat().st_ino != before


def test_the_merge_is_the_same_by_few_players_at_a_time(
    sources: list[Source], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = here(sources)
    kept = Kept(tmp_path, TASK)
    for most in (1, 5, 12):
        monkeypatch.setattr(report, "ROUNDS_AT_ONCE", most)
        parts = reduce_all(sources, TASK, kept)
        assert all(isinstance(each, KeptPart) for each in parts)
        by_few = merge(sources, parts, TASK)
        exactly_the_same(by_few, merge(sources, reduce_all(sources, TASK), TASK))
        for name in TABLES:
            assert_frame_equal(getattr(by_few, name), getattr(whole, name), rel_tol=1e-9)


def test_a_part_that_goes_while_it_is_needed(sources: list[Source], tmp_path: Path) -> None:
    parts = reduce_all(sources, TASK, Kept(tmp_path, TASK))
    places(tmp_path)[0].unlink()
    with pytest.raises(SgputtError, match="has gone or changed"):
        merge(sources, parts, TASK)


def test_what_nobody_asks_for_is_forgotten(sources: list[Source], tmp_path: Path) -> None:
    kept = Kept(tmp_path, TASK)
    for each in sources[:2]:
        keep(kept, each, reduce_file(each, TASK))
    for place in places(tmp_path):
        os.utime(place, (0, 0))
    assert kept.find(sources[0]) is not None
    keep(Kept(tmp_path, TASK), sources[2], reduce_file(sources[2], TASK))
    assert [kept.find(each) is not None for each in sources[:3]] == [True, False, True]


def test_nothing_but_our_own_parts_is_removed(sources: list[Source], tmp_path: Path) -> None:
    """Every folder older than 400 days was removed, whoever had made it."""
    kept = Kept(tmp_path, TASK)
    keep(kept, sources[0], reduce_file(sources[0], TASK))
    hexadecimal = "0" * 64
    for folder in (tmp_path, kept.folder):
        for name in ("photographs", hexadecimal, f"{hexadecimal}.part.d"):
            (folder / name).mkdir()
            (folder / name / "counts.json").touch()
        for name in ("letter.txt", "rounds.parquet"):
            (folder / name).touch()
        (folder / ("1" * 64 + ".part")).symlink_to(folder / "letter.txt")
    (kept.folder / ("2" * 64 + ".part")).mkdir()
    before = sorted(tmp_path.rglob("*"))
    for each in before:
        os.utime(each, (0, 0), follow_symlinks=False)
    (ours,) = (each for each in places(tmp_path) if each.is_file() and not each.is_symlink())
    keep(Kept(tmp_path, TASK), sources[1], reduce_file(sources[1], TASK))
    after = sorted(tmp_path.rglob("*"))
    assert set(before) - set(after) == {ours}
    assert len(set(after) - set(before)) == 1


def test_a_folder_that_is_not_ours_is_left_alone(sources: list[Source], tmp_path: Path) -> None:
    (tmp_path / "sgputt-parts").mkdir()
    (tmp_path / "sgputt-parts" / "mine").touch()
    with pytest.raises(SgputtError, match="was not made by sgputt"):
        keep(Kept(tmp_path, TASK), sources[0], reduce_file(sources[0], TASK))
    assert [each.name for each in tmp_path.rglob("*")] == ["sgputt-parts", "mine"]


class _Dying(Executor):
    """Does one piece of work, then is broken."""

    def __init__(self) -> None:
        self.tasks = 0

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.tasks += 1
        if self.tasks == 1:
            future.set_result(fn(*args, **kwargs))
        else:
            future.set_exception(BrokenExecutor("a process in the pool was terminated"))
        return future


def test_a_lost_process_is_said_and_nothing_done_is_lost(
    sources: list[Source], tmp_path: Path
) -> None:
    kept = Kept(tmp_path, TASK)
    with pytest.raises(WorkerLostError, match="has died") as caught:
        reduce_all(sources, TASK, kept, _Dying())
    assert "--workers 1" in caught.value.hint
    exactly_the_same(merge(sources, reduce_all(sources, TASK, kept), TASK), here(sources))


def test_a_killed_process_is_noticed(sources: list[Source]) -> None:
    with pytest.raises(WorkerLostError), processes(2) as pool:
        assert pool is not None
        os.kill(pool.submit(os.getpid).result(), signal.SIGKILL)
        reduce_all(sources * 20, TASK, executor=pool)


def test_workers_end_with_the_process_that_started_them(tmp_path: Path) -> None:
    script = tmp_path / "start.py"
    script.write_text(
        "import os, time\n"
        "from sgputt.bulk.run import processes\n"
        "if __name__ == '__main__':\n"
        "    with processes(2) as pool:\n"
        "        print(pool.submit(os.getpid).result(), flush=True)\n"
        "        time.sleep(60)\n",
        encoding="utf-8",
    )
    with subprocess.Popen([sys.executable, script], stdout=subprocess.PIPE) as first:
        assert first.stdout is not None
        worker = psutil.Process(int(first.stdout.readline()))
        first.kill()
        worker.wait(timeout=20)


def test_a_round_in_two_files_counts_once(folder: Path, tmp_path: Path) -> None:
    files = frames()
    late = pl.read_parquet(folder / "late.parquet")
    both = {**files, "zz.parquet": pl.concat([late, late.with_columns(round=pl.lit(2, pl.Int16))])}
    sources = find_sources([write(tmp_path, both)])
    bulk = here(sources)
    plain = here(find_sources([folder]))
    assert bulk.found == 1
    told = bulk.problems.row(0, named=True)
    assert told["file"] == "zz.parquet"
    assert told["value"].startswith("2 rounds of late.parquet again, such as Mara Lindqvist, 2026")
    assert bulk.players["rounds"].sum() == plain.players["rounds"].sum() + 2
    assert bulk.read - bulk.kept == late.height
    once = {**files, "zz.parquet": late.with_columns(round=pl.lit(2, pl.Int16))}
    alone = here(find_sources([write(tmp_path / "once", once)]))
    for name in TABLES[:5]:
        assert_frame_equal(getattr(bulk, name), getattr(alone, name), check_exact=True)

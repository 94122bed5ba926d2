"""Imports killed at random moments: ``python -m tests.robust.kills N``.

Each time a process imports cards over those already stored, half of the times through the command
line; it is killed with SIGKILL, and then every round must be there, in its old shape or its new
one, and what the process had said was stored must be. One in four is killed while it makes the
archive; then the rounds that are there must be whole, and the import must run through afterwards.
"""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import polars as pl

from sgputt.archive.rounds import Round, fingerprint
from sgputt.archive.store import Archive
from sgputt.demo import demo_cards
from sgputt.intake import take_in
from sgputt.scorecard import CardOptions, read_scorecard
from tests.robust.limited import RUN, started

CARDS = 8
_OPTIONS = CardOptions()
# Says which cards are stored, as soon as they are.
_IMPORTS = """
import sys
from pathlib import Path
from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.scorecard import CardOptions
with Archive(Path(sys.argv[1])) as archive:
    print("ready", flush=True)
    for path in map(Path, sys.argv[2:]):
        assert not take_in(path, archive, CardOptions(), replace=True).problems
        print(path, flush=True)
"""
# The command line says nothing before the end, so it only tells when it begins to import.
_COMMAND = f"""
import sgputt.intake
print("ready", flush=True)
{RUN}
"""


class Scene:
    """Two versions of some cards, and an archive that already holds one of them."""

    def __init__(self, folder: Path) -> None:
        self.archive = folder / "archive.sqlite"
        self.versions = [folder / "a", folder / "b"]
        for version in self.versions:
            version.mkdir()
        for path in demo_cards(self.versions[0])[:CARDS]:
            changed = pl.read_csv(path).with_columns(pl.col("distance_ft") + 1)
            changed.write_csv(self.versions[1] / path.name)
        for path in sorted(self.versions[0].iterdir())[CARDS:]:
            path.unlink()
        self.names = [path.name for path in sorted(self.versions[0].iterdir())]
        self._prints = {path: _print_of(path) for each in self.versions for path in each.iterdir()}
        with Archive(self.archive) as archive:
            for name in self.names:
                take_in(self.versions[0] / name, archive, _OPTIONS)
        self.spent = self._time()

    def _time(self) -> float:
        """Seconds that importing all cards takes once the process is ready."""
        process = started(self.archive, *self.cards(1), code=_IMPORTS)
        assert process.stdout is not None
        process.stdout.readline()
        start = time.monotonic()
        process.communicate()
        return time.monotonic() - start

    def cards(self, version: int) -> list[Path]:
        """Cards of a version."""
        return [self.versions[version] / name for name in self.names]

    def kill(self, version: int, rng: random.Random, by_command: bool) -> str:
        """Import that version and kill it somewhere; says how far it came."""
        if by_command:
            words = ("import", "--archive", self.archive, "--replace", *self.cards(version))
            process = started(*words, code=_COMMAND)
        else:
            process = started(self.archive, *self.cards(version), code=_IMPORTS)
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        time.sleep(rng.uniform(0, self.spent * (1.6 if by_command else 1.1)))
        process.send_signal(signal.SIGKILL)
        out, err = process.communicate()
        assert err == b"", err.decode()
        said = [Path(line) for line in out.decode().splitlines()] if not by_command else []
        return self.hold(version, said)

    def hold(self, version: int, said: list[Path]) -> str:
        """Every round is there and whole, and what was said to be stored is."""
        with Archive(self.archive) as archive:
            found = list(self._whole_rounds(archive))
        assert len(found) == CARDS
        assert {*said} <= {*found}
        return self._came_to(self.archive, found, version)

    def _whole_rounds(self, archive: Archive) -> Iterator[Path]:
        """The card of each stored round, which must be what that card says."""
        for row in archive.rounds().iter_rows(named=True):
            number, name = row["round_id"], f"{row['date']}.csv"
            one = Round(
                archive.putts(round_id=number).drop("round_id"),
                archive.holes(round_id=number).drop("round_id"),
            )
            found = [path for path in self._prints if self._prints[path] == fingerprint(one)]
            assert [path.name for path in found] == [name]
            assert archive.scorecard(number) == (name, found[0].read_bytes())
            yield found[0]

    def _came_to(self, archive: Path, found: list[Path], version: int) -> str:
        with closing(sqlite3.connect(archive)) as db:
            assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert db.execute("PRAGMA foreign_key_check").fetchall() == []
        new = sum(path.parent == self.versions[version] for path in found)
        return "none" if new == 0 else "all" if new == CARDS else "some"

    def kill_new(self, rng: random.Random) -> str:
        """Import into an archive that is not there yet, and kill it somewhere."""
        path = self.archive.with_name("new.sqlite")
        process = started("import", "--archive", path, *self.cards(0), code=_COMMAND)
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        time.sleep(rng.uniform(0, self.spent * 1.6))
        process.send_signal(signal.SIGKILL)
        assert process.communicate()[1] == b""
        with Archive(path) as archive:
            end = self._came_to(path, list(self._whole_rounds(archive)), 0)
            for card in self.cards(0):
                assert take_in(card, archive, _OPTIONS).problems == []
            assert len(list(self._whole_rounds(archive))) == CARDS
        for each in path.parent.glob("new.sqlite*"):
            each.unlink()
        return end

    def hold_idempotent(self) -> None:
        """A whole import sets all right, and a second one changes nothing."""
        with Archive(self.archive) as archive:
            for path in self.cards(0):
                assert take_in(path, archive, _OPTIONS, replace=True).problems == []
            before = self.archive.read_bytes()
            for path in self.cards(0):
                again = take_in(path, archive, _OPTIONS, replace=True).stored
                assert len(again.unchanged) == 1 and not again.stored and not again.replaced
            assert archive.rounds().height == CARDS
        assert len(before) == self.archive.stat().st_size


def _print_of(path: Path) -> str:
    (one,) = read_scorecard(path, options=_OPTIONS).rounds
    return fingerprint(Round(one.putts, one.holes))


def hold_kills(count: int, seed: int, folder: Path) -> Counter[str]:
    """Kill that many imports; says how many had stored none, some or all of the cards."""
    scene, rng = Scene(folder), random.Random(seed)
    ends: Counter[str] = Counter()
    for number in range(count):
        if number % 4 == 3:
            ends[scene.kill_new(rng)] += 1
        else:
            ends[scene.kill((number - number // 4) % 2, rng, by_command=number % 4 == 2)] += 1
    scene.hold_idempotent()
    return ends


def main() -> None:
    count, seed = (int(each) for each in (*sys.argv[1:], "200", "1")[:2])
    start = time.monotonic()
    folder = Path(tempfile.mkdtemp())
    try:
        ends = hold_kills(count, seed, folder)
    finally:
        shutil.rmtree(folder)
    sys.stdout.write(f"{count} kills of seed {seed} in {time.monotonic() - start:.0f} s; cards")
    sys.stdout.write(f" stored by then: {', '.join(f'{k} {v}' for k, v in ends.items())}\n")


if __name__ == "__main__":
    main()

"""``sgputt bulk`` as one types it: what it says, writes, and refuses."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import polars as pl
import pytest

from tests.bulk.folder import PLAYERS, frames, putts, spoilt, write
from tests.cli.conftest import command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "putts", frames())


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "sgputt" / "bulk"


def test_what_it_says(folder: Path, cache: Path) -> None:
    ran = command("bulk", folder)
    assert ran.status == 0 and ran.err == ""
    text = " ".join(ran.out.split())
    read = sum(each.height for each in frames().values())
    assert f"4 files, {read} putts: {read} in 27 rounds of 3 players, 0 left out." in text
    for part in ("Squads by season", "North: by length of putt", "Players", *PLAYERS):
        assert part in text
    assert max(len(line) for line in ran.out.splitlines()) <= 80
    assert len(list(cache.glob("sgputt-parts/*.part"))) == 4
    assert command("bulk", folder).content == ran.content


def test_json_is_all_there_is(folder: Path) -> None:
    found = command("bulk", folder, "--json").json
    assert found["files"] == 4 and found["problems_found"] == 0
    assert [row["player"] for row in found["players"]] == [*sorted(PLAYERS)[:2], PLAYERS[2]]
    assert found["putts_read"] == found["putts_counted_in"] + found["putts_left_out"]


def test_tables(folder: Path, tmp_path: Path) -> None:
    ran = command("bulk", folder, "--out", tmp_path / "figures")
    assert ran.status == 0
    names = ["distances", "player_seasons", "players", "problems", "squad_seasons", "squads"]
    assert sorted(each.stem for each in (tmp_path / "figures").iterdir()) == names
    players = pl.read_csv(tmp_path / "figures" / "players.csv")
    assert players["player"].to_list() == [PLAYERS[0], PLAYERS[1], PLAYERS[2]]
    assert {"per_round", "low", "high", "shrunk_per_round"} <= set(players.columns)


def test_problems_are_said_and_the_rest_counted(folder: Path, tmp_path: Path) -> None:
    bad = spoilt(putts(PLAYERS[0], 3, 2024), 5, "distance_ft", 900.0)
    write(folder, {"bad.parquet": bad.with_columns(player=pl.lit("=1+1\x1b[31m"))})
    (folder / "no\x1bputts.parquet").write_bytes(b"PAR1")
    ran = command("bulk", folder, "--out", tmp_path / "figures")
    assert ran.status == 1
    assert "bad.parquet, row 5, column 'distance_ft': '900.0'" in ran.err
    assert "cannot be read as Parquet" in ran.err
    assert "\x1b" not in ran.out + ran.err and "Traceback" not in ran.err
    assert "2 problems" not in ran.out
    players = (tmp_path / "figures" / "players.csv").read_text(encoding="utf-8")
    assert "'=1+1" in players
    again = command("bulk", folder, "--keep-good-holes", "--json")
    assert again.status == 1
    left_out = again.json["putts_left_out"]
    assert 0 < left_out < 5


def test_refused(folder: Path, tmp_path: Path) -> None:
    for words, status, said in (
        ((tmp_path / "none",), 1, "There is no file or folder"),
        ((tmp_path,), 0, ""),
        ((folder, "--out", folder / "2026.parquet"), 2, "Name a folder"),
        ((folder, "--baseline", "own"), 2, "is fitted to the archive"),
        ((folder, "--baseline", "nobody"), 2, "There is no baseline 'nobody'"),
        ((folder, "--workers", "0"), 2, "--workers"),
        ((), 2, "PATH..."),
    ):
        ran = command("bulk", *words)
        assert ran.status == status, ran.err
        assert said in ran.err and "Traceback" not in ran.err


def test_the_putts_of_an_archive(tmp_path: Path, demo_archive: Path) -> None:
    """What export writes, bulk reads, and both call it the same."""
    archive = Path(shutil.copy(demo_archive, tmp_path / "archive.sqlite"))
    out = tmp_path / "putts.parquet"
    assert command("export", "--archive", archive, "--out", out).status == 0
    season = command("season", "--archive", archive, "--json").json
    (player,) = command("bulk", out, "--json").json["players"]
    # The export has no chip-ins, so its holes are fewer.
    sums = player["per_round"] * player["holes"]
    assert sums == pytest.approx(season["strokes_gained_per_round"]["value"] * season["holes"])


# Enough that none of the machines this runs on is done with them before it is stopped.
FILES = 60
# A test run that was started in the background hands down that Ctrl-C is ignored.
HEARS_CTRL_C = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from sgputt_cli.main import run
run()
"""


def test_ctrl_c_says_how_to_go_on(folder: Path, tmp_path: Path) -> None:
    """Two processes stopped as a terminal stops them: all at once, and no traceback."""
    one = pl.concat([putts(each, 120, 2024) for each in PLAYERS])
    many = {
        f"{number:03}.parquet": one.with_columns(pl.format("{} {}", "player", pl.lit(number)))
        for number in range(FILES)
    }
    words = ["bulk", str(write(tmp_path / "many", many)), "--workers", "2"]
    parts = tmp_path / "parts"
    process = subprocess.Popen(
        [sys.executable, "-c", HEARS_CTRL_C, *words, "--parts", str(parts)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    while len(list(parts.glob("*/*.part"))) < 2:
        assert process.poll() is None, process.communicate()
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert out == b"" and b"Traceback" not in err, err.decode()
    assert b"of %d files are done and kept" % FILES in err and err.endswith(b"Stopped.\n")
    ran = command(*words, "--parts", parts)
    assert ran.status == 0 and f"{FILES} files" in ran.out

"""Every command has the same drills, and the days asked for bound the practice shown too."""

from __future__ import annotations

import re
import shutil
from datetime import date
from pathlib import Path

import click
import pytest

from sgputt_cli.options import RoundFilter, Shared
from sgputt_cli.selection import select_season
from tests.cli.conftest import Command

CATALOGUE = Path(__file__).parents[2] / "data" / "reference" / "drills.toml"


@pytest.fixture
def demo(home: Path, demo_archive: Path) -> Path:
    shutil.copy(demo_archive, home / "archive.sqlite")
    return home


def test_drills_of_ones_own_are_chosen_by_every_command(
    sgputt: Command, demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = sgputt("season", "--json").json["priorities"][0]["drill"]
    text = CATALOGUE.read_text(encoding="utf-8")
    drills = text.split("[[drill]]")
    (chosen,) = [part for part in drills if f'id = "{first}"' in part]
    # A twin of fewer minutes, in the user's file, is what would be chosen in its place.
    own = demo / "own.toml"
    own.write_text(f"[[drill]]{chosen.replace(first, 'a-twin-of-mine')}", encoding="utf-8")
    monkeypatch.setenv("SGPUTT_DRILLS", str(own))
    chosen_now = {
        "season": sgputt("season", "--json").json["priorities"][0]["drill"],
        "practice": sgputt("practice", "--json").json["priorities"][0]["drill"],
        "squad": sgputt("squad", "--json").json["players"][0]["first_priority"]["drill"],
    }
    assert len(set(chosen_now.values())) == 1, chosen_now
    assert "a-twin-of-mine" in sgputt("drills").out


def test_a_file_of_drills_that_is_gone_is_told_by_every_command(
    sgputt: Command, demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SGPUTT_DRILLS", str(demo / "gone.toml"))
    for words in ("season", "round --out round.html", "squad", "practice", "export --what season"):
        ran = sgputt(*words.split())
        assert ran.status == 1, words
        assert "gone.toml" in ran.err


def test_the_season_of_a_year_shows_the_sets_of_that_year(sgputt: Command, demo: Path) -> None:
    for day in ("2025-07-01", "2026-04-20"):
        logged = sgputt(
            *("drills", "log", "circle-of-eight-5ft", "--balls", 40, "--successes", 29),
            *("--date", day),
        )
        assert logged.status == 0, logged.err
    shared = Shared(demo / "archive.sqlite")
    for year, which, sets in (
        (None, RoundFilter(), 2),
        (2026, RoundFilter(), 1),
        (None, RoundFilter(since=date(2026, 1, 1)), 1),
        (None, RoundFilter(until=date(2026, 12, 31)), 2),
        (None, RoundFilter(last=3), 1),
    ):
        with click.Context(click.Command("season")):
            practised = select_season(shared, year, which).practised
        assert [each.sets for each in practised] == [sets], (year, which)
    written = sgputt("export", "2026", "--what", "season", "--json").json["practised"]
    assert [each["sets"] for each in written] == [1]


def test_whoever_reads_metres_is_told_metres(sgputt: Command, demo: Path) -> None:
    shutil.copy(demo / "archive.sqlite", demo / "feet.sqlite")
    assert sgputt("settings", "--shown-in", "metres").status == 0
    for words in (
        *("season", "round", "squad", "stroke", "compare --before 2026-04-01", "practice"),
        *("practice --minutes 30", "drills nine-reads-5-to-20ft"),
    ):
        out = " ".join(sgputt(*words.split()).out.split())
        assert not re.search(r"(?<!stimp )\d ft\b|\bfeet\b", out), words
        if words in ("season", "squad"):
            assert "0.9-1.5" in out
    for words in ("round", "squad"):
        in_json = sgputt(words, "--json").json
        assert in_json == sgputt(words, "--json", "--archive", "feet.sqlite").json
    sgputt("export", "--what", "practice", "--out", "practice.md")
    assert not re.search(r"\d\sft\b", (demo / "practice.md").read_text(encoding="utf-8"))

"""The least documented card (hole, putts, first length), and rounds whose holes are all alike.

Every command has to end in figures or in a plain sentence, and what it writes has to be readable.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook

from tests.cli.conftest import Command, command

START = date(2025, 4, 5)
LENGTH_FT = 12
Row = tuple[object, ...]
Rounds = Sequence[Sequence[Row]]


def write_season(path: Path, header: str, rounds: Rounds) -> None:
    """One card of many rounds, two days apart."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["date", "player", "course", *header.split(",")])
        for at, holes in enumerate(rounds):
            day = START + timedelta(days=2 * at)
            for row in holes:
                writer.writerow([day, "Ada Brook", "Heron Mere", *row])


def least_rounds(seed: int) -> list[list[Row]]:
    """5 to 50 invented rounds in hole, putts and first length: chances of no real player."""
    rng = np.random.default_rng(seed)
    rounds: list[list[Row]] = []
    for _ in range(5 + seed * 45 // 29):
        lengths = np.clip(np.round(np.exp(rng.normal(2.6, 0.8, 18))), 1, 90).astype(int)
        one = rng.random(18) < 1 / (1 + (lengths / 7.5) ** 1.6)
        three = rng.random(18) < 0.002 * lengths
        putts = np.where(one, 1, np.where(three, 3, 2))
        chipped = rng.random(18) < 0.04
        rounds.append(
            [
                (hole, 0, "") if chipped[hole - 1] else (hole, putts[hole - 1], lengths[hole - 1])
                for hole in range(1, 19)
            ]
        )
    return rounds


def alike(header: str, row: Row, rounds: int, holes: int = 18) -> tuple[str, Rounds]:
    return header, [[(hole, *row) for hole in range(1, holes + 1)] for _ in range(rounds)]


LEAST = "hole,putts,putt1"
ENDED = f"{LEAST},result"
TWO = f"{LEAST},putt2"
WORDS = f"{TWO},slope,break,miss"
ALIKE: dict[str, tuple[str, Rounds]] = {
    "all holed at once": alike(LEAST, (1, LENGTH_FT), 3),
    "all holed at once from 3 ft, one round": alike(LEAST, (1, 3), 1),
    "all holed in two": alike(LEAST, (2, LENGTH_FT), 12),
    "all holed in two, lengths and words written": alike(
        WORDS, (2, LENGTH_FT, 3, "up", "L-R", "short"), 12
    ),
    "all left on the lip, past": alike(WORDS, (2, 30, 1, "down", "R-L", "past low"), 4),
    "all from the longest length": alike(TWO, (2, 100, 2), 3),
    "all from an inch": alike(LEAST, (1, "1 in"), 3),
    "all conceded": alike(ENDED, (1, LENGTH_FT, "conceded"), 3),
    "all conceded after one": alike(f"{TWO},result", (2, LENGTH_FT, 3, "conceded"), 3),
    "all chipped in": alike(LEAST, (0, ""), 3),
    "all chipped in, one round": alike(LEAST, (0, ""), 1),
    "one hole, chipped in": alike(LEAST, (0, ""), 1, holes=1),
    "one hole, holed": alike(LEAST, (1, LENGTH_FT), 1, holes=1),
    "all picked up": alike(ENDED, (2, LENGTH_FT, "picked up"), 3),
    "all picked up without a putt": alike(ENDED, (0, "", "picked up"), 3),
    "nine holes and eighteen": (
        LEAST,
        [[(hole, 2, 20) for hole in range(1, holes + 1)] for holes in (9, 18, 9, 18)],
    ),
}


def fail_on_nan(constant: str) -> None:
    raise AssertionError(f"{constant} in JSON")


def read_json(text: str) -> None:
    json.loads(text, parse_constant=fail_on_nan)


def read_csv(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        assert len(list(csv.reader(file))) > 0


def read_workbook(path: Path) -> None:
    for sheet in load_workbook(path).worksheets:
        for row in sheet.iter_rows(values_only=True):
            assert not {"NaN", "nan", "inf"} & {str(cell) for cell in row}


def read_text(path: Path) -> None:
    words = set(path.read_text(encoding="utf-8").replace("|", " ").split())
    assert not {"nan", "NaN", "inf", "-inf"} & words


READERS: dict[str, Callable[[Path], None]] = {
    "html": read_text,
    "md": read_text,
    "csv": read_csv,
    "xlsx": read_workbook,
    "json": lambda path: read_json(path.read_text(encoding="utf-8")),
}
SHOWN = (
    "season",
    "round",
    "practice",
    "practice --minutes 60",
    "stroke",
    "course",
    "squad",
    f"compare --before {START + timedelta(days=3)}",
    "drills",
    "drills circle-of-eight-5ft",
    "drills transfer",
    "baselines own",
    "rounds",
)
PAGES = ("season", "round", "practice --minutes 45", "squad", "course")
EXPORTS = {
    "putts": ("csv", "json", "md", "xlsx", "parquet"),
    "rounds": ("csv", "json", "md", "xlsx", "parquet"),
    "cells": ("csv", "json", "md", "xlsx", "parquet"),
    "season": ("csv", "json", "md", "xlsx"),
    "practice": ("csv", "json", "md", "xlsx"),
}
# What a season may say it cannot do; anything else has to work.
MAY_REFUSE = ("compare", "baselines own", "drills transfer")


def shown(words: str, as_json: bool = True) -> None:
    """A command in words, and as JSON: an end that a user understands."""
    ran = command(*words.split())
    assert "Traceback" not in ran.err
    may_refuse = words.startswith(MAY_REFUSE)
    assert ran.status == 0 or (may_refuse and ran.err.startswith(("Error: ", "Usage: "))), ran.err
    assert not {"nan", "inf"} & set(ran.out.replace(",", " ").split())
    if as_json and words not in ("drills", "drills circle-of-eight-5ft"):
        again = command(*words.split(), "--json")
        assert again.status == ran.status
        if again.status == 0:
            read_json(again.out)


def written(words: str, path: Path) -> None:
    ran = command(*words.split(), "--out", path)
    assert ran.status == 0, (words, path.name, ran.err)
    if path.is_file() and path.suffix != ".parquet":
        READERS[path.suffix[1:]](path)


# Every command in words, every kind of page and of export. JSON, the slower pages and the forms of
# an export rest on the same figures, so they take turns: each is tried on several of the sixteen.
@pytest.mark.parametrize("turn", range(len(ALIKE)), ids=list(ALIKE))
def test_every_command_on_rounds_all_alike(sgputt: Command, home: Path, turn: int) -> None:
    write_season(home / "card.csv", *list(ALIKE.values())[turn])
    ran = sgputt("import", "card.csv")
    assert ran.status == 0, ran.err
    for at, words in enumerate(SHOWN):
        shown(words, as_json=(at + turn) % 4 == 0)
    for at, words in enumerate(PAGES):
        if at == turn % len(PAGES) or at == (turn + 2) % len(PAGES):
            written(words, home / f"page{at}.html")
    for what, forms in EXPORTS.items():
        form = forms[turn % len(forms)]
        written(f"export --what {what}", home / f"{what}.{form}")
    if turn % 4 == 0:
        written("export --what charts", home / "charts")


# Every sixth of thirty, of 5 to 50 rounds.
SEASONS = 5


@pytest.mark.parametrize("turn", range(SEASONS))
def test_a_season_of_the_least_card(sgputt: Command, home: Path, turn: int) -> None:
    write_season(home / "card.csv", LEAST, least_rounds(6 * turn))
    assert sgputt("import", "card.csv").status == 0
    written("season", home / "season.html")
    written("export --what season", home / "season.json")
    # The others rest on the same figures: each of them on some of the seasons.
    for words in SHOWN[turn::SEASONS]:
        shown(words)
    written(PAGES[turn % len(PAGES)], home / "page.html")
    what = list(EXPORTS)[turn % len(EXPORTS)]
    for form in EXPORTS[what]:
        written(f"export --what {what}", home / f"{what}.{form}")
    if turn == 0:
        written("export --what charts", home / "charts")


@pytest.mark.parametrize("name", ["all chipped in", "all conceded", "all picked up"])
def test_rounds_without_a_putt_that_counts_praise_nobody(
    sgputt: Command, home: Path, name: str
) -> None:
    write_season(home / "card.csv", *ALIKE[name])
    sgputt("import", "card.csv")
    season, practice = (" ".join(sgputt(words).out.split()) for words in ("season", "practice"))
    assert "No putt here counts for strokes gained" in season
    assert "Nothing can be told of your putting yet" in practice
    for out in (season, practice):
        assert "keep up what you do" not in out

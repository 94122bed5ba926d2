from __future__ import annotations

from collections.abc import Callable

import pytest

from sgputt.putts.columns import BY_KEY
from sgputt.putts.values import CellError
from sgputt.scorecard.holes import read_miss, read_side

READ: list[tuple[Callable[[str], str | int | float | None], dict[str, str]]] = [
    (
        BY_KEY["slope"].read,
        {
            "uphill": "uphill|UP|u|+|↑|Up hill|up-hill",
            "downhill": "downhill|down|D|-|−|–|↓",
            "level": "level|flat|L|0|=",
            "unknown": "unknown|?",
        },
    ),
    (
        BY_KEY["break"].read,
        {
            "left to right": "left to right|L-R|l - r|LR|l2r|L>R|l→r|left-right|L_to_R",
            "right to left": "right to left|R-L|rl|r2l|r>l|r→l|right–left",
            "straight": "straight|none|s|0|-|—",
            "unknown": "?|unknown",
        },
    ),
    (
        BY_KEY["miss_pace"].read,
        {"short": "short|S", "past": "past|long|thru|through|Long.", "unknown": "?|unknown"},
    ),
    (BY_KEY["cause"].read, {"read": "read|misread", "aim": "aim", "stroke": "stroke|start line"}),
    (BY_KEY["cause"].read, {"pace": "pace|speed"}),
    (
        BY_KEY["surface"].read,
        {"green": "green|on", "off green": "off green|fringe|fairway|apron|off|off the green"},
    ),
    (
        BY_KEY["result"].read,
        {
            "holed": "holed|made|in|Yes|y|1|TRUE|Holed!",
            "missed": "missed|miss|no|n|0|False",
            "conceded": "conceded|gimme|given",
            "picked up": "picked up|Pickup|pu|pick-up|picked_up",
            "chipped in": "chipped in|chip-in|chip in|holed out from off",
        },
    ),
]
TABLE = [
    (reader, text, name)
    for reader, names in READ
    for name, spellings in names.items()
    for text in spellings.split("|")
]


@pytest.mark.parametrize(("reader", "text", "name"), TABLE)
def test_reads_words_generously(
    reader: Callable[[str], str | int | float | None], text: str, name: str
) -> None:
    assert reader(text) == name


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (BY_KEY["slope"].read, "steep"),
        (BY_KEY["break"].read, "left"),
        (BY_KEY["break"].read, "double"),
        (BY_KEY["miss_pace"].read, "left"),
        (BY_KEY["cause"].read, "wind"),
        (BY_KEY["surface"].read, "bunker"),
        (BY_KEY["result"].read, "x"),
        (BY_KEY["result"].read, "birdie"),
    ],
)
def test_refuses_words_it_would_have_to_guess(
    reader: Callable[[str], str | int | float | None], text: str
) -> None:
    with pytest.raises(CellError) as caught:
        reader(text)
    assert caught.value.hint.startswith("Write ")


@pytest.mark.parametrize(
    ("text", "breaking", "side"),
    [
        ("left", "unknown", "left"),
        ("R", "unknown", "right"),
        ("on line", "straight", "none"),
        ("none", "straight", "none"),
        ("high", "left to right", "left"),
        ("High side", "right to left", "right"),
        ("low", "left to right", "right"),
        ("low-side", "right to left", "left"),
        ("?", "unknown", "unknown"),
    ],
)
def test_side_of_a_miss(text: str, breaking: str, side: str) -> None:
    assert read_side(text, breaking) == side


@pytest.mark.parametrize("breaking", ["straight", "unknown"])
def test_high_needs_a_break(breaking: str) -> None:
    with pytest.raises(CellError, match=f"'high' needs a break.*is {breaking}"):
        read_side("high", breaking)


@pytest.mark.parametrize("text", ["push", "pulled"])
def test_push_and_pull_are_not_guessed(text: str) -> None:
    for reader in (read_side, read_miss):
        with pytest.raises(CellError) as caught:
            reader(text, "straight")
        assert caught.value.hint == "Push and pull depend on the hand: write left or right."


@pytest.mark.parametrize(
    ("text", "pace", "side"),
    [
        ("short left", "short", "left"),
        ("Left, short", "short", "left"),
        ("past high", "past", "left"),
        ("low", None, "right"),
        ("long right", "past", "right"),
        ("long/right", "past", "right"),
        ("short", "short", None),
        ("high side and past", "past", "left"),
        ("missed left", None, "left"),
        ("short, on line", "short", "none"),
        ("s r", "short", "right"),
        ("?", None, "unknown"),
    ],
)
def test_combined_miss(text: str, pace: str | None, side: str | None) -> None:
    assert read_miss(text, "left to right") == (pace, side)


@pytest.mark.parametrize("text", ["left right", "short past", "hole high", "lipped", "/"])
def test_combined_miss_refuses_contradictions(text: str) -> None:
    with pytest.raises(CellError):
        read_miss(text, "left to right")

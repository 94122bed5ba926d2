"""Habits, causes and the stroke on the season's page; baselines that are approximate."""

from __future__ import annotations

from dataclasses import replace

import polars as pl
import pytest

from sgputt.analysis.season import analyse
from sgputt.baseline.catalogue import fitted_baseline, get_baseline
from sgputt.baseline.curve import Baseline
from sgputt.season.scored import score
from sgputt.stroke.causes import Habit, StrokesWorth
from tests.reports.cases import Case, putts
from tests.reports.test_pages import Reader


def plain(html: str) -> str:
    return " ".join(Reader(html).text.replace("\u00a0", " ").split())


def spaced(text: str) -> str:
    return text.replace("\u00a0", " ")


HABIT = Habit(
    *("short", "uphill", 0.13, 0.1, 0.16, "share of the roll", 0.999, True),
    StrokesWorth(0.3, 0.2, 0.4),
    "Uphill putts: you hit them 13 % too softly (10 to 16 %), worth 0.30 strokes a round.",
)


def test_habits_stand_right_after_the_decision(forty: Case) -> None:
    stroke = replace(forty.analysis.stroke, habits=[HABIT])
    text = plain(forty.with_parts(stroke=stroke).season_page())
    places = [text.index(each) for each in ("Next drill", "Your habits", HABIT.text, "Strokes ga")]
    assert places == sorted(places)
    none = plain(forty.with_parts(stroke=replace(stroke, habits=[])).season_page())
    assert "No habit stands out beyond luck" in none


def test_page_says_what_the_stroke_is_and_what_better_brings(forty: Case) -> None:
    text = plain(forty.season_page())
    headings = ["Why do putts miss?", "Your stroke: read, direction and pace"]
    headings += ["What would a better stroke bring?", "Spreads by the model"]
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)
    assert spaced(forty.analysis.stroke.assumption) in text
    assert "nan" not in text
    assert "None" not in text


def test_the_players_own_word_is_shown_where_there_is_one(forty: Case) -> None:
    words = pl.DataFrame(
        {"cause": ["pace"], "putts": [9], "read": [0.2], "direction": [0.1], "pace": [0.7]}
    )
    stroke = replace(forty.analysis.stroke, own_words=words)
    text = plain(forty.with_parts(stroke=stroke).season_page())
    assert "Your own word for the cause" in text
    assert "Pace920 %10 %70 %" in text
    assert "Your own word" not in plain(forty.season_page())


def test_one_round_says_nothing_of_a_stroke(one: Case) -> None:
    text = plain(one.season_page())
    for words in ("abits", "What would a better stroke bring?", "Spreads by the model"):
        assert words not in text


def test_too_few_putts_for_a_stroke_say_what_it_takes(forty: Case) -> None:
    few = replace(
        forty.analysis.stroke, fit=None, parts=[], habits=[], misses=[], too_few="Too few putts."
    )
    text = plain(forty.with_parts(stroke=few).season_page())
    assert "Too few putts." in text
    assert "Spreads by the model" not in text
    assert "Why do putts miss?" not in text


@pytest.mark.parametrize("name", ["club", "own"])
def test_an_approximate_baseline_is_called_so_on_both_pages(name: str) -> None:
    table = putts(1)
    baseline: Baseline = get_baseline(name) if name == "club" else fitted_baseline(name, table)
    scored = score(table, baseline)
    case = Case(analyse(scored))
    for html in (case.season_page(), case.round_page()):
        text = plain(html)
        beside = text[text.index("Against: ") :][:80]
        assert beside.lower().count("approximate") == 1
        assert "As it is approximate, small differences from it mean little." in text


def test_a_measured_baseline_is_not_called_approximate(one: Case) -> None:
    for html in (one.season_page(), one.round_page()):
        assert "approximate" not in plain(html)

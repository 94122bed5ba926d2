"""Why putts miss, start line and pace, and slope: on the season's page."""

from __future__ import annotations

import math
from dataclasses import replace

import polars as pl
import pytest

from sgputt.analysis.season import analyse
from sgputt.baseline.catalogue import fitted_baseline, get_baseline
from sgputt.baseline.curve import Baseline
from sgputt.season.misses import Reason
from sgputt.season.scored import score
from tests.reports.cases import Case, putts
from tests.reports.test_pages import Reader

HIGH = Reason("high side", 10, 0.10, 0.06, 0.16, 0.30, 0.2, 0.4)
LOW = Reason("low side", 50, 0.50, 0.42, 0.58, 1.20, 1.0, 1.4, agree=6, said=9)
UNKNOWN = Reason("unknown", 7, math.nan, math.nan, math.nan, 0.2, 0.1, 0.3)
SLOPES = pl.DataFrame(
    {
        "slope": ["uphill", "downhill", "unknown"],
        "putts": [51, 1053, 2],
        "per_round": [0.17, -0.98, 0.02],
        "fair_per_round": [-0.17, -0.61, 0.02],
    }
)


def plain(html: str) -> str:
    return " ".join(Reader(html).text.replace("\u00a0", " ").split())


def spaced(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_page_says_why_putts_miss_and_what_better_brings(forty: Case) -> None:
    text = plain(forty.season_page())
    headings = ["What to practise after that", "Why putts miss", "How do putts miss?"]
    headings += ["Start line and pace, by a model", "What would a better stroke bring?"]
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)
    assert spaced(forty.analysis.spreads.assumption) in text
    assert "nan" not in text
    assert "None" not in text


def test_every_model_figure_says_model(forty: Case) -> None:
    html = forty.season_page()
    for caption in ("Spreads fitted by the model", "slope-fair is a model", "By the model."):
        assert caption in html
    assert "Model: slopes of 2.5 %" in plain(html)


def test_misses_without_a_word_ask_for_one(forty: Case) -> None:
    text = plain(forty.with_parts(misses=[UNKNOWN]).season_page())
    assert "Write it on the card" in text
    assert "How do putts miss?" not in text
    assert "nan" not in text


def test_the_players_own_word_is_shown_where_there_is_one(forty: Case) -> None:
    text = plain(forty.with_parts(misses=[HIGH, LOW, UNKNOWN]).season_page())
    assert "You named a cause for 9 of these misses" in text
    assert "6 of 9" in text
    assert "Your word agrees" not in plain(forty.with_parts(misses=[HIGH]).season_page())


def test_losses_of_few_rounds_are_not_to_be_trusted(forty: Case) -> None:
    few = replace(forty.summary, rounds=3)
    text = plain(forty.with_parts(summary=few, misses=[HIGH, LOW]).season_page())
    assert "From only 3 rounds these intervals are too narrow to trust." in text


def test_one_round_says_nothing_of_a_stroke(one: Case) -> None:
    text = plain(one.season_page())
    for words in ("Start line and pace", "What would a better stroke bring?", "Spreads fitted"):
        assert words not in text


def test_too_few_putts_for_a_stroke_say_what_it_takes(forty: Case) -> None:
    few = replace(forty.analysis.spreads, fits={}, worth=[], too_few=["All putts: Too few putts"])
    text = plain(forty.with_parts(spreads=few).season_page())
    assert "All putts: Too few putts" in text
    assert "Spreads fitted" not in text


def test_slope_table_shows_both_figures_and_what_the_model_assumes(forty: Case) -> None:
    text = plain(forty.with_parts(slopes=SLOPES).season_page())
    assert "Downhill1,053−0.98−0.61" in text
    assert "Not written2+0.02+0.02" in text
    assert spaced(forty.analysis.slope_assumption) in text
    level = SLOPES.filter(pl.col("slope") == "unknown")
    assert "only harder?" not in plain(forty.with_parts(slopes=level).season_page())


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

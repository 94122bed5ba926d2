"""Why putts miss, start line and pace, and slope: on the season's page."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import polars as pl
import pytest
import vl_convert

from sgputt.baseline.catalogue import fitted_baseline, get_baseline
from sgputt.baseline.curve import Baseline
from sgputt.season.misses import Reason
from sgputt.season.round import round_report
from sgputt.season.scored import score
from sgputt.season.summary import season_summary
from sgputt.stroke.worth import Worth
from sgputt_reports import drawing
from sgputt_reports.dots import Still
from sgputt_reports.misses import describe_misses, misses_section, shares_of_misses
from sgputt_reports.round import round_page
from sgputt_reports.season import season_page
from sgputt_reports.stroke import describe_worth, stroke_section, worth_of_stroke
from tests.reports.cases import Case, putts
from tests.reports.test_pages import Reader

HIGH = Reason("high side", 10, 0.10, 0.06, 0.16, 0.30, 0.2, 0.4)
LOW = Reason("low side", 50, 0.50, 0.42, 0.58, 1.20, 1.0, 1.4, agree=6, said=9)
LEFT = Reason("left", 21, 0.21, 0.15, 0.29, 0.40, 0.3, 0.5)
RIGHT = Reason("right", 19, 0.19, 0.13, 0.27, 0.40, 0.3, 0.5)
UNKNOWN = Reason("unknown", 7, math.nan, math.nan, math.nan, 0.2, 0.1, 0.3)
LINE = Worth("line", "10 % better", 0.59, 0.57, 0.61)
PACE = Worth("pace", "10 % better", 0.40, 0.35, 0.44)
DOUBTFUL = Worth("line", "tour level", 0.37, -0.69, 1.43)
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


def test_words_on_misses_compare_what_can_be_told_apart() -> None:
    assert spaced(describe_misses([HIGH, LOW, LEFT, RIGHT])) == (
        "Of 100 misses: low side 50 %, left 21 %, right 19 %, high side 10 %. "
        "More go low side than high side. Left and right cannot be told apart."
    )
    alike = replace(LOW, low=0.1)
    assert "Neither high side and low side nor left and right can be told apart." in (
        describe_misses([HIGH, alike, LEFT, RIGHT])
    )
    assert spaced(describe_misses([LEFT])) == "Of 21 misses: left 21 %."


def test_words_on_worth_say_model_and_which_brings_more() -> None:
    words = spaced(describe_worth([LINE, PACE, DOUBTFUL]))
    assert words.startswith("By the model, strokes a round on your own first putts: ")
    assert "start line 10 % better +0.59 (+0.57 to +0.61)" in words
    assert "10 % better brings more in start line than in pace" in words
    close = replace(PACE, high=0.58)
    assert "cannot be told yet" in describe_worth([LINE, close])
    assert "brings more" not in describe_worth([LINE])


@pytest.mark.parametrize(
    "spec",
    [shares_of_misses([HIGH, LOW]), shares_of_misses([LEFT]), worth_of_stroke([LINE, DOUBTFUL])],
    ids=["misses", "one reason", "worth"],
)
def test_specs_draw_and_name_no_address(spec: drawing.Spec) -> None:
    assert spec["width"] == "container"
    assert "://" not in json.dumps(spec)
    assert "NaN" not in json.dumps(spec)
    for svg in (vl_convert.vegalite_to_svg({**spec, "width": 360}), Still.of(spec).svg()):
        assert "share of misses" in svg or "by the model" in svg


def test_a_worth_not_clear_of_nought_is_hollow() -> None:
    doubtful, clear = (worth_of_stroke([LINE, each]) for each in (DOUBTFUL, PACE))
    assert drawing.UNCLEAR in vl_convert.vegalite_to_svg({**doubtful, "width": 360})
    assert drawing.UNCLEAR not in vl_convert.vegalite_to_svg({**clear, "width": 360})
    assert 'class="unclear hollow"' in Still.of(doubtful).svg()
    assert "hollow" not in Still.of(clear).svg().partition("</style>")[2]


def test_page_says_why_putts_miss_and_what_better_brings(forty: Case) -> None:
    text = plain(forty.season_page())
    headings = ["Why putts miss", "How do putts miss?", "Start line and pace, by a model"]
    headings += ["What would a better stroke bring?", "What to practise, largest loss first"]
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)
    assert spaced(forty.stroke.assumption) in text
    assert "nan" not in text
    assert "None" not in text


def test_every_model_figure_says_model(forty: Case) -> None:
    html = forty.season_page()
    for caption in ("Spreads fitted by the model", "Two ways to count", "By the model, strokes"):
        assert "model" in html[html.index(caption) :][:200]
    assert "Model: slopes of 2.5 %" in plain(html)


def test_sections_are_left_out_without_their_figures(forty: Case) -> None:
    text = plain(season_page(forty.summary, forty.priorities))
    for heading in ("Why putts miss", "Start line and pace", "Two ways to count"):
        assert heading not in text
    assert misses_section([], 3) is None
    assert stroke_section(None) is None


def test_misses_without_a_word_ask_for_one(forty: Case) -> None:
    text = plain(season_page(forty.summary, [], misses=[UNKNOWN]))
    assert "Write it on the card" in text
    assert "How do putts miss?" not in text
    assert "nan" not in text


def test_the_players_own_word_is_shown_where_there_is_one(forty: Case) -> None:
    text = plain(season_page(forty.summary, [], misses=[HIGH, LOW, UNKNOWN]))
    assert "You named a cause for 9 of these misses" in text
    assert "6 of 9" in text
    assert "Your word agrees" not in plain(season_page(forty.summary, [], misses=[HIGH]))


def test_losses_of_few_rounds_are_not_to_be_trusted(forty: Case) -> None:
    few = replace(forty.summary, rounds=3)
    text = plain(season_page(few, [], misses=[HIGH, LOW]))
    assert text.count("From only 3 rounds these intervals are too narrow to trust.") == 2


def test_too_few_putts_for_a_stroke_say_what_it_takes(one: Case) -> None:
    text = plain(one.season_page())
    assert "All putts: Too few putts to fit a stroke" in text
    assert "What would a better stroke bring?" not in text
    assert "Spreads fitted" not in text


def test_slope_table_shows_both_figures_and_what_the_model_assumes(forty: Case) -> None:
    text = plain(season_page(forty.summary, [], slopes=SLOPES, slope_assumption="Model: hills."))
    assert "Downhill1,053−0.98−0.61" in text
    assert "Not written2+0.02+0.02" in text
    assert "Model: hills." in text
    level = SLOPES.filter(pl.col("slope") == "unknown")
    assert "Two ways to count" not in plain(season_page(forty.summary, [], slopes=level))


@pytest.mark.parametrize("name", ["club", "own"])
def test_an_approximate_baseline_is_called_so_on_both_pages(name: str) -> None:
    table = putts(1)
    baseline: Baseline = get_baseline(name) if name == "club" else fitted_baseline(name, table)
    scored = score(table, baseline)
    summary = season_summary(scored, "Nell Achterberg", "2026 season")
    for html in (season_page(summary, []), round_page(round_report(scored))):
        text = plain(html)
        beside = text[text.index("Against: ") :][:80]
        assert beside.lower().count("approximate") == 1
        assert "As it is approximate, small differences from it mean little." in text


def test_a_measured_baseline_is_not_called_approximate(one: Case) -> None:
    for html in (one.season_page(), one.round_page()):
        assert "approximate" not in plain(html)

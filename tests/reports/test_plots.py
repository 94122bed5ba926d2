"""Own drawings: what they say in words, and that every number of rounds can be drawn."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree

import polars as pl
import pytest

from sgputt_reports import plot
from sgputt_reports.by_round import describe_trend, parts_plot, trend_plot
from sgputt_reports.plot import Plot
from sgputt_reports.season import season_page
from sgputt_reports.season_parts import breakdown_tables, describe_practised, practised_rows
from sgputt_reports.shape import leaves_plot, makes_plot, rose_plot
from sgputt_reports.strip import Drawn, Strips
from tests.reports.cases import HOSTILE, Case
from tests.reports.test_pages import same_as_kept
from tests.reports.test_why import plain, spaced

CURVE = pl.DataFrame({"distance_ft": [1.0, 10.0, 60.0], "share": [1.0, 0.4, 0.02]})
MAKES = pl.DataFrame(
    {
        "distance": ["0-3 ft", "5-7 ft", "7-10 ft", "40+ ft"],
        "mean_ft": [1.5, 6.1, 8.4, 55.0],
        "putts": [433, 94, 115, 73],
        "made": [427, 50, 55, 9],
        "share": [0.986, 0.532, 0.478, 0.123],
        "low": [0.973, 0.447, 0.403, 0.073],
        "high": [0.992, 0.615, 0.554, 0.200],
        "baseline": [0.993, 0.64, 0.47, 0.027],
    }
)
LEAVES = pl.DataFrame(
    {
        "distance": ["15-25 ft", "40+ ft"],
        "misses": [163, 4],
        "quarter_ft": [0.9, 2.0],
        "median_ft": [1.8, 4.0],
        "three_quarters_ft": [3.0, 6.0],
        "nine_tenths_ft": [4.3, 9.0],
    }
)
FINISHES = pl.DataFrame(
    {
        "pace": ["past", "past", "short"],
        "side": ["left", "none", "right"],
        "misses": [30, 1, 9],
        "share": [0.75, 0.025, 0.225],
        "median_ft": [2.0, 3.6, 1.2],
    }
)


def trend_of(values: list[float], reach: float | None = 1.0) -> pl.DataFrame:
    rounds = len(values)
    return pl.DataFrame(
        {
            "date": [date(2026, 4, 1 + at) for at in range(rounds)],
            "per_round": values,
            "over": [min(at + 1, 2) for at in range(rounds)],
            "mean": values,
            "low": [None if reach is None else value - reach for value in values],
            "high": [None if reach is None else value + reach for value in values],
        },
        schema_overrides={"low": pl.Float64, "high": pl.Float64},
    )


def texts(drawn: Plot) -> list[str]:
    tree = ElementTree.fromstring(str(drawn.svg))
    return [element.text or "" for element in tree.iter() if element.tag == "text"]


def test_makes_name_the_distances_clear_of_the_baseline_with_their_putts() -> None:
    drawn = makes_plot(MAKES, CURVE, "Tour baseline")
    assert spaced(drawn.words) == (
        "Fewer drop than the baseline’s from 5–7 ft: 53 % of 94 putts, the baseline 64 %; from "
        "0–3 ft: 98.6 % of 433 putts, the baseline 99.3 %. More drop from 40+ ft: 12 % of "
        "73 putts, the baseline 3 %."
    )
    assert {"433", "94", "115", "73", "Tour baseline"} <= set(texts(drawn))
    few = MAKES.with_columns(pl.lit(9).alias("putts"))
    assert "From no distance do 36 putts tell" in makes_plot(few, CURVE, "Tour").words
    alike = MAKES.with_columns(pl.lit(0.0).alias("low"), pl.lit(1.0).alias("high"))
    assert "From no distance do 715 putts tell" in makes_plot(alike, CURVE, "Tour").words


def test_leaves_claim_no_spread_from_few_misses() -> None:
    drawn = leaves_plot(LEAVES)
    assert spaced(drawn.words) == (
        "First putts that miss: from 15–25 ft half stop within 1.8 ft, nine in ten within 4.3 ft "
        "(163 misses)."
    )
    assert {"163 misses", "4 misses"} <= set(texts(drawn))
    assert drawn.svg.count("broad") == 1
    few = leaves_plot(LEAVES.tail(1))
    assert few.words == "Only 4 misses so far: too few from any length for a spread."
    assert "nothing to show yet" in leaves_plot(LEAVES.clear()).words


def test_the_rose_counts_and_places_every_pair_of_words() -> None:
    drawn = rose_plot(FINISHES)
    assert spaced(drawn.words) == (
        "Of 40 misses: past left 75 %, short right 22 %, past on line 2 %."
    )
    assert {"30 misses", "half within 2.0 ft", "at 3.6 ft"} <= set(texts(drawn))
    assert "Too few to tell" in rose_plot(FINISHES.tail(1)).words
    assert "No card says" in rose_plot(FINISHES.clear()).words


def test_the_rose_looks_from_where_the_putt_was_struck() -> None:
    """Past is up, left is left, and twice the feet are twice as far out."""
    discs = re.findall(
        r'class="disc" cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', rose_plot(FINISHES).svg
    )
    (left_x, left_y, left_r), (short_x, short_y, _), (line_x, line_y, _) = (
        tuple(map(float, disc)) for disc in discs
    )
    middle_x, middle_y = 180.0, 178.0
    assert left_x < middle_x < short_x
    assert left_y < middle_y < short_y
    assert line_x == middle_x
    assert (middle_y - line_y) / ((middle_y - left_y) * 2**0.5) == pytest.approx(1.8, rel=0.01)
    assert left_r == pytest.approx(42 * 0.75**0.5, abs=0.1)


def test_the_trend_claims_no_change_while_its_bands_overlap() -> None:
    rows = trend_of([-2.0, -2.0, -1.5, -1.5]).to_dicts()
    assert describe_trend(rows[1:]) == (
        "First 2 rounds: −2.0 a round (−3.0 to −1.0). Last 2 rounds: −1.5 a round "
        "(−2.5 to −0.5). The two bands overlap: that is no proof of a change."
    )
    assert describe_trend(trend_of([-2.0, -2.0, 3.0, 3.0]).to_dicts()[1:]).endswith("better.")
    assert describe_trend(trend_of([3.0, 3.0, -2.0, -2.0]).to_dicts()[1:]).endswith("worse.")
    assert "Too few rounds to set beside" in describe_trend(rows[1:3])


@pytest.mark.parametrize("rounds", [2, 3, 28])
@pytest.mark.parametrize("reach", [1.0, None])
def test_a_trend_is_drawn_from_two_rounds_on(rounds: int, reach: float | None) -> None:
    drawn = trend_plot(trend_of([0.5 * at for at in range(rounds)], reach))
    assert drawn is not None
    assert drawn.svg.count('class="round"') == rounds
    assert "None" not in drawn.words
    assert trend_plot(trend_of([1.0])) is None


def test_each_round_is_a_dot_of_holing_and_leave(forty: Case, one: Case) -> None:
    drawn = parts_plot(forty.summary)
    assert drawn is not None
    assert drawn.svg.count("faint") == 40
    assert drawn.words.startswith("40 rounds: holing ")
    assert parts_plot(one.summary) is None


def test_tables_of_one_row_say_nothing_and_are_left_out(forty: Case) -> None:
    tables = breakdown_tables(forty.evidence().breakdowns)
    assert [table["caption"] for table in tables] == ["By month"]
    first = tables[0]["rows"][0]
    assert first["label"] == "Nov\u00a02026"
    assert (first["rounds"], first["putts"]) == (4, 125)


def test_practice_is_held_to_its_mark(forty: Case) -> None:
    evidence = forty.evidence()
    rows = {row["sets"]: row for row in practised_rows(evidence)}
    assert rows[5]["judged"] == 5
    assert rows[5]["mark_rate"] is not None
    assert "gone-from-its-file" in [row["name"] for row in practised_rows(evidence)]
    assert "mark" in describe_practised(evidence)


def test_the_page_shows_evidence_after_the_decision(forty: Case) -> None:
    text = plain(forty.season_page())
    headings = [
        "Next drill",
        "Makes and leaves by length",
        "Where do misses finish?",
        "What to practise, largest loss first",
        "Does practice reach its mark?",
        "Is it getting better?",
        "Holing or leave: what makes a good round?",
        "When and where do strokes go?",
        "What made the best and the worst rounds?",
    ]
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)


def test_one_round_shows_no_trend_and_no_best_round(one: Case) -> None:
    text = plain(one.season_page())
    for heading in ("Is it getting better?", "When and where", "What made the best"):
        assert heading not in text
    assert "How often do putts drop?" in text


def test_axes_have_round_numbers_and_hold_nought() -> None:
    axis = plot.signed_axis([-4.4, 1.9])
    assert [text for _, text in axis.ticks] == ["−4", "−2", "0", "+2"]
    assert [text for _, text in plot.signed_axis([-0.2, 0.26]).ticks][-1] == "+0.2"
    assert plot.signed_axis([]).share(0) == 0.5
    assert plot.counted_axis(8.3, "ft").ticks[-1] == (10, "10\u00a0ft")


def test_text_in_a_drawing_is_text() -> None:
    drawn = plot.drawing([plot.word(0, 0, HOSTILE)], 10, "id")
    assert "<script" not in drawn
    assert "\u202e" not in drawn
    ElementTree.fromstring(str(drawn))


def test_a_strip_is_coloured_only_when_clear_and_cut_at_its_ends() -> None:
    strips = Strips.around([Drawn(-1.0, -2.0, 0.5, 9), Drawn(-1.0, -30.0, 30.0, 2)])
    assert strips.ends == (-2.0, 0.5)
    assert "unclear" in strips.draw(-1.0, -30.0, 30.0)
    assert "loss" in strips.draw(-1.0, -2.0, -0.5)
    assert "unclear" in strips.draw(-1.0, None, None)
    same_as_kept("strip", str(Strips((0.0, 1.0), line_at=None).draw(0.7, 0.6, 0.8, 0.5)))


def test_a_long_list_of_rounds_is_folded(forty: Case) -> None:
    assert "<details" not in forty.season_page()
    table = pl.concat([forty.summary.rounds_table] * 5)
    many = replace(forty.summary, rounds=200, rounds_table=table)
    text = plain(season_page(many, []))
    assert "160 earlier rounds" in text
    assert text.count("Kestrel Down") == 200

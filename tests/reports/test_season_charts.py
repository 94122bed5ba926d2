"""The charts of a season: what their words claim, and what is drawn of which rows."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import altair as alt
import polars as pl
import pytest

from sgputt.errors import SgputtError
from sgputt.inference.cells import FEWEST_PUTTS
from sgputt.stroke.causes import Habit, MissCause, StrokePart, StrokesWorth
from sgputt_reports import charts
from sgputt_reports.charts import Chart
from sgputt_reports.season import season_page
from sgputt_reports.season_charts import (
    WITHOUT_A_FIT,
    breakdown_charts,
    causes_chart,
    describe_trend,
    finishes_chart,
    leaves_chart,
    makes_chart,
    practice_and_course_chart,
    practised_chart,
    season_charts,
    trend_chart,
    worth_chart,
)
from tests.reports.cases import Case
from tests.reports.test_charts import texts
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
PLACES = pl.DataFrame(
    {
        "across_ft": [-0.3, 0.5, 0.0, 0.4],
        "past_ft": [2.0, -1.0, 3.0, 1.0],
        "side": [-1, 1, 0, 1],
        "breaking": [True, True, True, False],
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


def marks_in(chart: Chart, tag: str) -> int:
    return len(re.findall(f"<{tag} ", chart.pictures[0]))


def test_makes_name_the_distances_clear_of_the_baseline_with_their_putts() -> None:
    drawn = makes_chart(MAKES, CURVE, "Tour baseline")
    assert spaced(drawn.words) == (
        "Fewer drop than the baseline’s from 5–7 ft: 53 % of 94 putts, the baseline 64 %; from "
        "0–3 ft: 98.6 % of 433 putts, the baseline 99.3 %. More drop from 40+ ft: 12 % of "
        "73 putts, the baseline 3 %."
    )
    assert {"53\u00a0%", "12\u00a0%", "Tour baseline"} <= set(texts(drawn))
    few = MAKES.with_columns(pl.lit(9).alias("putts"))
    assert "in 36 putts" in makes_chart(few, CURVE, "Tour").words
    alike = MAKES.with_columns(pl.lit(0.0).alias("low"), pl.lit(1.0).alias("high"))
    assert "in 715 putts" in makes_chart(alike, CURVE, "Tour").words


def test_leaves_claim_no_spread_from_few_misses() -> None:
    drawn = leaves_chart(LEAVES)
    assert spaced(drawn.words) == (
        "First putts that miss: from 15–25 ft half stop within 1.8 ft, nine in ten within 4.3 ft "
        "(163 misses)."
    )
    assert {"163 misses", "4 misses"} <= set(texts(drawn))
    assert drawn.pictures[0].count('opacity="0.22"') == 1
    few = leaves_chart(LEAVES.tail(1))
    assert few.words == "Only 4 misses so far: too few from any length for a spread."
    assert "nothing to show yet" in leaves_chart(LEAVES.clear()).words


def test_misses_are_counted_by_pace_and_side() -> None:
    drawn, straight = finishes_chart(PLACES, True), finishes_chart(PLACES, False)
    assert drawn is not None
    assert straight is not None
    assert spaced(drawn.words) == (
        "Of 3 misses of putts that broke: 67 % past, 33 % short, 33 % high, 33 % low. "
        "Too few to tell much."
    )
    assert spaced(straight.words).startswith("Of 1 miss of straight putts: 100 % past, 100 % right")
    assert {"high side", "low side"} <= set(texts(drawn))
    assert {"left", "right"} <= set(texts(straight))
    assert finishes_chart(PLACES.filter("breaking"), False) is None


def test_misses_are_drawn_to_scale_from_where_the_putt_was_struck() -> None:
    """Past is up and left is left; a miss twice as far away is drawn twice as far out."""
    drawn = finishes_chart(PLACES, True)
    assert drawn is not None
    found = re.findall(r'<circle transform="translate\(([\d.]+),([\d.]+)\)"', drawn.pictures[0])
    places = {(float(x), float(y)) for x, y in found}
    middle_x, middle_y = min(places, key=lambda at: abs(at[0] - 165) + abs(at[1] - 165))
    shown = sorted((x - middle_x, middle_y - y) for x, y in places - {(middle_x, middle_y)})
    (high_x, high_y), *_, (low_x, low_y) = shown
    assert high_x < 0 < high_y
    assert low_x > 0 > low_y
    assert high_x / high_y == pytest.approx(-0.15, rel=0.02)
    assert high_y / -low_y == pytest.approx(2.0, rel=0.02)


def test_many_misses_gather_into_spots_and_none_is_lost() -> None:
    many = pl.concat([PLACES.filter("breaking")] * 100)
    drawn = finishes_chart(many, True)
    assert drawn is not None
    assert marks_in(drawn, "circle") < 15
    assert "300 misses" in drawn.words
    assert FEWEST_PUTTS < 300


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
    drawn = trend_chart(trend_of([0.5 * at for at in range(rounds)], reach))
    assert drawn is not None
    assert drawn.pictures[0].count('opacity="0.75"') == rounds
    assert len(drawn.pictures) == 2
    assert "None" not in drawn.words
    assert trend_chart(trend_of([1.0])) is None


def test_ways_to_divide_with_one_row_say_nothing_and_are_left_out(forty: Case) -> None:
    drawn = breakdown_charts(forty.analysis.breakdowns)
    assert list(drawn) == ["by month", "by green speed"]
    assert drawn["by month"] is not None
    written = texts(drawn["by month"])
    assert written.index("Nov\u00a02026") < written.index("Oct\u00a02026")
    assert "4 rounds" in written


def test_practice_is_held_to_its_mark(forty: Case) -> None:
    drawn = practised_chart(forty.analysis.practised, {})
    assert drawn is not None
    assert "gone-from-its-file" in texts(drawn)
    assert "mark" in drawn.words
    assert practised_chart([], {}) is None


WORTH = StrokesWorth(0.4, 0.3, 0.5)
READ = StrokePart("read", 0.4, 0.3, 0.5, "share of the break", 0.28, 0.34, WORTH)
DOUBTFUL = replace(READ, part="pace", worth_per_round=StrokesWorth(0.1, -0.1, 0.3))
LOW = Habit(
    *("too little break", "left to right", 0.45, 0.3, 0.6, "share of the break", 0.999, True),
    WORTH,
    "Left-to-right putts: you play 45 % of the break too little.",
)


def test_causes_are_said_with_the_largest_first_and_what_they_cost() -> None:
    misses = [MissCause("read", 0.3, 0.5), MissCause("direction", 0.5, 1.2)]
    drawn = causes_chart([*misses, MissCause("pace", 0.2, 0.4)])
    assert spaced(drawn.answer) == "Mostly direction: 50 % of your misses."
    written = texts(drawn)
    assert written.index("Direction") < written.index("Read") < written.index("Pace")
    assert {"50\u00a0%", "costs 1.2 a round"} <= set(written)
    assert "by the model" in drawn.words


def test_worth_shows_parts_and_told_habits_and_doubt_hollow_and_grey() -> None:
    clear, doubtful = worth_chart([READ], [LOW], 0.9), worth_chart([READ, DOUBTFUL], [], 0.9)
    assert {"Read", "one step better", "Too little break", "left to right, without it"} <= set(
        texts(clear)
    )
    assert 'stroke="var(--soft)"' in doubtful.pictures[0]
    assert 'stroke="var(--soft)"' not in clear.pictures[0]


def test_practice_is_drawn_under_the_rounds_it_was_for(forty: Case) -> None:
    sessions = forty.analysis.sessions
    drawn = practice_and_course_chart(forty.analysis.trend, sessions)
    assert drawn is not None
    assert "7 days of practice with 210 balls" in drawn.words
    assert "practice" in texts(drawn)
    assert practice_and_course_chart(forty.analysis.trend, sessions.clear()) is None


def test_lengths_are_drawn_in_metres_where_asked() -> None:
    feet, metres = (leaves_chart(LEAVES, unit) for unit in ("feet", "metres"))
    assert "left after the first putt, m" in texts(metres)
    assert "0.5" in texts(metres)
    assert "1.8" in texts(feet)
    drawn = makes_chart(MAKES, CURVE, "Tour", "metres")
    assert {"length, m", "0.5", "15"} <= set(texts(drawn))
    place = finishes_chart(PLACES, True, "metres")
    assert place is not None
    assert any("\u00a0m" in text for text in texts(place))


def test_every_chart_of_a_season_keeps_to_the_form_of_vega_lite(forty: Case, one: Case) -> None:
    for case in (forty, one):
        for chart in season_charts(case.analysis).values():
            for each in (chart.altair, chart.wide):
                if each is not None:
                    spec = charts.specification(each)
                    alt.LayerChart.from_dict(spec, validate=True)
                    assert "NaN" not in str(chart.pictures)


def test_the_page_shows_evidence_after_the_decision(forty: Case) -> None:
    text = plain(forty.season_page())
    headings = [
        "Next drill",
        "abits",
        "From which distances do strokes go?",
        "Why do putts miss?",
        "Where do misses finish?",
        "Is it getting better?",
        "What to practise after that",
        "Makes and leaves",
        "Your stroke: read, direction and pace",
        "One putt seen from above",
        "Does practice reach its mark?",
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


def test_a_chart_that_is_none_is_said_with_those_there_are(forty: Case) -> None:
    with pytest.raises(SgputtError, match="There is no chart 'tred'") as raised:
        season_charts(forty.analysis, ["tred"])
    assert "trend" in raised.value.hint
    assert list(season_charts(forty.analysis, ["trend"])) == ["trend"]


def test_charts_without_a_fit_ask_for_none_and_may_be_drawn_before(forty: Case) -> None:
    """A command draws them while the stroke is fitted, and the page is the same."""
    begun = replace(forty.analysis)
    drawn = season_charts(begun, WITHOUT_A_FIT)
    assert drawn and not {"fit", "stroke", "decision"} & set(vars(begun))
    assert season_page(forty.analysis, begun=drawn) == season_page(forty.analysis)

"""Charts: what their words claim, how they are drawn, and what a page and a file make of them."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import altair as alt
import numpy as np
import polars as pl
import pytest

from sgputt_reports import charts, drawing
from sgputt_reports.season_charts import distance_chart
from tests.reports.cases import HOSTILE

BANDS = pl.DataFrame(
    {
        "distance": ["0-3 ft", "3-5 ft", "5-7 ft", "40+ ft"],
        "putts": [458, 109, 97, 0],
        "per_round": [0.01, 0.09, -0.37, 0.0],
        "low": [-0.06, 0.02, -0.57, None],
        "high": [0.06, 0.16, -0.15, None],
    }
)
ONE_ROUND = BANDS.with_columns(pl.lit(None, pl.Float64).alias(name) for name in ("low", "high"))
NO_PUTTS = ONE_ROUND.with_columns(pl.lit(0).alias("putts"), pl.lit(0.0).alias("per_round"))


def texts(chart: charts.Chart) -> list[str]:
    """What stands written in the drawing."""
    tree = ElementTree.fromstring(chart.pictures[0])
    whole = [element for element in tree.iter() if element.tag == "text"]
    return [line for each in whole for line in each.itertext()]


def test_words_name_losses_and_gains_with_their_intervals() -> None:
    assert distance_chart(BANDS).words == (
        "Strokes go from 5–7\u00a0ft (−0.37 a round; −0.57 to −0.15). "
        "Strokes are won from 3–5\u00a0ft (+0.09 a round; +0.02 to +0.16). "
        "The intervals of the other distances cross zero."
    )


def test_words_without_intervals_claim_no_skill() -> None:
    assert "not skill" in distance_chart(ONE_ROUND).words
    assert "luck included" in distance_chart(ONE_ROUND).caption
    assert "nothing to show" in distance_chart(NO_PUTTS).words


def test_words_say_when_nothing_can_be_told() -> None:
    wide = BANDS.with_columns(pl.lit(-1.0).alias("low"), pl.lit(1.0).alias("high"))
    assert "no distance can be told from luck yet" in distance_chart(wide).words


def test_words_warn_of_intervals_from_few_rounds() -> None:
    warning = "From only 4 rounds these intervals are too narrow to trust."
    assert distance_chart(BANDS, 0.9, 4).words.endswith(warning)
    for rounds in (5, None):
        assert "too narrow" not in distance_chart(BANDS, 0.9, rounds).words
    assert "too narrow" not in distance_chart(ONE_ROUND, 0.9, 1).words


@pytest.mark.parametrize("frame", [BANDS, ONE_ROUND, NO_PUTTS], ids=["many", "one", "none"])
def test_every_chart_keeps_to_the_form_of_vega_lite_and_draws(frame: pl.DataFrame) -> None:
    chart = distance_chart(frame)
    alt.LayerChart.from_dict(charts.specification(chart.altair), validate=True)
    assert ("97 putts" in texts(chart)) == (frame is not NO_PUTTS)


def test_losses_and_gains_differ_in_more_than_colour() -> None:
    written = texts(distance_chart(BANDS))
    assert {"−0.37", "+0.09", "← loses", "gains →"} <= set(written)


def test_in_a_page_colours_are_the_pages_and_nothing_needs_a_style_or_a_script() -> None:
    [picture] = distance_chart(BANDS).pictures
    for colour in drawing.COLOURS.values():
        assert colour not in picture
    assert 'fill="var(--loss)"' in picture
    for word in ("style=", "class=", "<script", "http", "font-family", "NaN", "undefined"):
        assert word not in picture
    assert len(picture) < 15_000


def test_what_lies_beyond_the_ends_of_the_axis_is_cut_there() -> None:
    span = charts.Span("x", -1.0, -30.0, 30.0, "−1.0", "unclear")
    spec = json.dumps(charts.specification(charts.spans_chart([span], "t", (-2.0, 0.5))))
    assert '"from": -2.0, "to": 0.5' in spec
    assert "30.0" not in spec
    assert f'"fill": "{charts.SHEET}"' in spec


@pytest.mark.parametrize("text", [HOSTILE, "a\x07b", "\ud800", "\ufffe", "\x0b\u200f", ""])
def test_text_in_a_drawing_is_text_and_ends_no_engine(text: str) -> None:
    span = charts.Span(text, 1.0, 0.5, 1.5, "+1.0", "gain")
    chart = charts.Chart("x", "?", "", "", charts.spans_chart([span], "t", (-1, 2)))
    [picture] = chart.pictures
    assert "<script" not in picture
    assert "\u202e" not in picture
    ElementTree.fromstring(picture)


def test_a_file_stands_alone_on_white_with_its_question_and_whose_it_is() -> None:
    files = charts.chart_files([distance_chart(BANDS)], "Ada Brook, 2026")
    name = "from-which-distances-do-strokes-go"
    assert list(files) == [f"{name}.svg", f"{name}.png"]
    assert files[f"{name}.png"].startswith(b"\x89PNG")
    svg = files[f"{name}.svg"].decode()
    assert "Ada Brook, 2026" in svg
    assert "From which distances do strokes go?" in svg
    assert charts.GAIN in svg
    assert "var(" not in svg


def test_a_chart_for_a_notebook_has_the_look_of_the_pages() -> None:
    themed = distance_chart(BANDS).themed()
    assert themed.to_dict()["config"]["axis"]["labelColor"] == charts.INK


@pytest.mark.parametrize("width", [240, 270, 300, 330])
def test_ticks_leave_room_for_wider_letters_than_those_measured(width: int) -> None:
    axis = {"tickCount": 8, "labelExpr": charts.SIGNED_TICKS}
    spec = {
        "config": charts.CONFIG,
        "width": width,
        "data": {"values": [{"worth": 0}, {"worth": 1.5}]},
        "mark": "point",
        "encoding": {"x": {"field": "worth", "type": "quantitative", "axis": axis}},
    }
    shown = re.findall(r'translate\(([\d.]+),[\d.]+\)"[^>]*opacity="1">[+0]', drawing.draw(spec))
    places = [float(each) for each in shown]
    widest_four_letters_px = 4 * 9
    assert len(places) >= 4
    assert min(np.diff(places)) >= widest_four_letters_px

"""Plans of drills and putts from above: every drill is drawn, to scale, the slope down the page."""

from __future__ import annotations

import re
from dataclasses import replace

import altair as alt
import pytest

from sgputt.practice.drills import Drill, load_drills
from sgputt.stroke.from_above import putt_from_above
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.stroke.station import Station
from sgputt_reports import charts
from sgputt_reports.plans import (
    FORMS,
    Layout,
    Tee,
    describe_layout,
    drill_file,
    drill_plan,
    layout_of,
    putt_chart,
)
from tests.reports.cases import HOSTILE
from tests.reports.test_charts import texts
from tests.reports.test_why import spaced

DRILLS = {drill.id: drill for drill in load_drills()}


@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS.keys())
def test_every_drill_of_the_catalogue_has_its_plan(drill: Drill) -> None:
    drawn = drill_plan(drill)
    alt.LayerChart.from_dict(charts.specification(drawn.altair), validate=True)
    layout = layout_of(drill)
    assert drawn.pictures[0].count("<circle") >= len({tee.length_ft for tee in layout.tees})
    assert drawn.words.startswith("Plan of the drill, to scale. ")
    assert len(drawn.pictures[0]) < 6000
    metres = spaced(drill_plan(drill, "metres").words)
    assert " ft" not in metres


def test_a_ball_straight_above_the_hole_is_drawn_above_it() -> None:
    above, below, left, right = (Tee(5.0, turn).place for turn in (0, 180, 90, -90))
    assert above == pytest.approx((0, 5))
    assert below == pytest.approx((0, -5))
    # Across the slope from the left the low side, and so the break, is on the right.
    assert left == pytest.approx((-5, 0))
    assert right == pytest.approx((5, 0))
    assert Tee(5.0, 0).beyond(1.0) == pytest.approx((0, -1))


def test_a_plan_is_to_scale() -> None:
    picture = drill_plan(DRILLS["ladder-below-the-hole"]).pictures[0]
    found = re.findall(r'<circle transform="translate\(([\d.]+),([\d.]+)\)"', picture)
    hole, *tees = sorted({float(y) for _, y in found})
    gaps = [tee - hole for tee in tees]
    assert [gap / gaps[0] for gap in gaps] == pytest.approx([1, 4 / 3, 5 / 3, 2], rel=0.01)


def test_words_say_where_the_tees_are_and_what_a_miss_may_do() -> None:
    tees = (Tee(3, 180), Tee(5, 180), Tee(4, 0), Tee(6, 90))
    assert spaced(describe_layout(Layout(tees, "circle", 1.0, 1.0))) == (
        "Tees below the hole: 3 and 5 ft. Tees above the hole: 4 ft. Tees beside the hole: 6 ft. "
        "A circle of 1 ft about the hole, its middle 1 ft past the hole."
    )
    assert "high side" in describe_layout(Layout(tees, "high side", 2.0))
    assert spaced(describe_layout(Layout((), "gate", gate_ft=2, width_in=2.5))) == (
        "Two tees 2 1/2 in apart, 2 ft ahead of the ball."
    )


def test_a_drill_of_the_users_own_is_drawn_and_its_name_is_text() -> None:
    drawn = drill_plan(replace(DRILLS["up-and-down-8ft"], name=HOSTILE))
    assert "<script" not in drawn.pictures[0]


def test_a_putt_from_above_tells_the_usual_ball_from_a_perfect_one() -> None:
    across = Station(8.0, direction_deg=90.0, grade=0.02)
    plain = putt_chart(putt_from_above(TOUR_STROKE, across))
    low = putt_chart(putt_from_above(PuttingStroke(less_left_to_right=0.5), across))
    for drawn in (plain, low):
        alt.LayerChart.from_dict(charts.specification(drawn.altair), validate=True)
        assert "8\u00a0ft" in texts(drawn)
        assert spaced(drawn.answer).startswith(
            "8 ft across a slope of 2 %, left to right: you hole"
        )
    assert "usual ball" not in plain.words
    assert "inches low" in low.words
    short = putt_chart(putt_from_above(PuttingStroke(long=-0.2), across))
    assert "ft shorter" in short.words


@pytest.mark.parametrize("form", FORMS)
def test_a_drill_is_a_page_or_a_picture(form: str) -> None:
    drill = DRILLS["up-and-down-8ft"]
    written = drill_file(drill, form, "20 of 40", "your own stroke", shown_in="metres")
    if form == "png":
        assert written.startswith(b"\x89PNG")
        return
    text = written.decode()
    assert "<script" not in text
    assert "2.4" in text
    if form == "html":
        for words in ("20 of 40", "your own stroke", "Plan of the drill, to scale."):
            assert words in text
        assert drill.setup.replace("8 ft", "2.4 m")[:30] in text.replace("\u00a0", " ")

"""One object says everything of a season; each part is worked out once, and only when asked for."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import polars as pl
import pytest
from polars.testing import assert_frame_equal

import sgputt
from sgputt.analysis import season as season_module
from sgputt.analysis.rounds import PlayedRounds, days_of, years_of
from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.errors import TooFewError
from sgputt.practice.session import Session, sessions_frame
from sgputt.putts.table import holes_from_putts
from sgputt.season.fairness import By, fair_table
from sgputt.season.scored import Scored, score
from sgputt.season.summary import by_distance
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import TOUR_STROKE
from tests.season.hand import BASELINE

START = date(2025, 11, 1)
PUTTS = invented_season(InventedGolfer("Ada Brook"), 12, 3, START, every_days=10)


@pytest.fixture(scope="module")
def scored() -> Scored:
    return score(PUTTS, BASELINE)


def counted(monkeypatch: pytest.MonkeyPatch, *names: str) -> Counter[str]:
    """How often the analysis calls some of what it is made of."""
    calls: Counter[str] = Counter()

    def counting(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **options: Any) -> Any:
            calls[name] += 1
            return real(*arguments, **options)

        return call

    for name in names:
        monkeypatch.setattr(season_module, name, counting(name, getattr(season_module, name)))
    return calls


def test_each_part_is_worked_out_once(scored: Scored, monkeypatch: pytest.MonkeyPatch) -> None:
    names = ("season_summary", "stroke_causes", "fit_putting_stroke", "decide")
    calls = counted(monkeypatch, *names)

    def fitted_again(*_: Any, **__: Any) -> None:
        raise AssertionError("the stroke is fitted a second time")

    monkeypatch.setattr("sgputt.stroke.causes.fit_putting_stroke", fitted_again)
    monkeypatch.setattr("sgputt.practice.decision.fit_putting_stroke", fitted_again)
    found = analyse(scored)
    assert not calls
    for _ in range(2):
        found.as_dict()
        assert found.marks
    assert calls == dict.fromkeys(names, 1)


def test_what_is_not_asked_for_is_not_fitted(
    scored: Scored, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = counted(monkeypatch, "stroke_causes", "fit_putting_stroke", "decide")
    found = analyse(scored)
    assert found.counts
    assert found.trend.height == 12
    assert not calls


def test_fair_figures_are_of_greens_as_steep_as_the_fit_found_them(scored: Scored) -> None:
    analysis = analyse(scored)
    assert analysis.fit is not None
    steeper = replace(analysis.fit, grade=0.026)
    analysis.__dict__["fit"] = steeper
    tables: dict[By, pl.DataFrame] = {"slope": analysis.slopes, "break": analysis.breaks}
    for by, found in tables.items():
        assert_frame_equal(found, fair_table(scored, by, analysis.level, grade=0.026))
        assert not found.equals(fair_table(scored, by, analysis.level))


def test_headings_come_from_the_rounds_unless_given(scored: Scored) -> None:
    assert (analyse(scored).player, analyse(scored).season) == ("Ada Brook", "2025-2026")
    named = analyse(scored, "A. Brook", "winter")
    assert (named.summary.player, named.summary.season) == ("A. Brook", "winter")


def test_its_json_is_plain(scored: Scored) -> None:
    json.dumps(analyse(scored).as_dict(), default=str, allow_nan=False)
    squad = sgputt.analyse_squad({"Ada Brook": scored}, absent=["Nell"])
    json.dumps(squad.as_dict(), default=str, allow_nan=False)
    one = PlayedRounds("Ada Brook", holes_from_putts(PUTTS), PUTTS).filtered(last=1)
    report = sgputt.analyse_round(one.score(BASELINE), analyse(scored))
    json.dumps(report.as_dict(), default=str, allow_nan=False)
    halves = sgputt.compare(scored, scored)
    json.dumps(halves.as_dict(), default=str, allow_nan=False)


def test_a_rounds_distances_are_those_of_a_season_of_that_round(scored: Scored) -> None:
    one = PlayedRounds("Ada Brook", holes_from_putts(PUTTS), PUTTS).filtered(last=1)
    played = one.score(BASELINE)
    expected = by_distance(played)
    assert expected["putts"].sum() > 0
    assert_frame_equal(sgputt.analyse_round(played, analyse(scored)).by_distance, expected)


def test_sets_of_drills_are_shown_and_looked_for_on_the_course(scored: Scored) -> None:
    sets = sessions_frame(
        Session("Ada Brook", START + timedelta(days=40), "circle-of-eight-5ft", 40, 30)
        for _ in range(3)
    )
    found = analyse(scored, sessions=sets)
    assert [each.drill for each in found.practised] == ["circle-of-eight-5ft"]
    assert [each.drill.id for each in found.transfers] == ["circle-of-eight-5ft"]
    assert analyse(scored).practised == []


@pytest.fixture(scope="module")
def played() -> PlayedRounds:
    return PlayedRounds("Ada Brook", holes_from_putts(PUTTS), PUTTS)


@pytest.mark.parametrize(
    ("options", "rounds", "days"),
    [
        ({}, 12, "2025-11-01 to 2026-02-19"),
        ({"year": 2025}, 7, "2025-11-01 to 2025-12-31"),
        ({"year": 2026, "last": 2}, 2, "2026-02-09 to 2026-02-19"),
        ({"since": date(2025, 11, 11), "until": date(2025, 11, 21)}, 2, "2025-11-11 to 2025-11-21"),
        ({"last": 1}, 1, "2026-02-19"),
        ({"last": 40}, 12, "2025-11-01 to 2026-02-19"),
    ],
)
def test_rounds_are_narrowed(
    played: PlayedRounds, options: dict[str, Any], rounds: int, days: str
) -> None:
    narrowed = played.filtered(**options)
    assert narrowed.score(BASELINE).rounds.height == rounds
    assert days_of(narrowed.holes) == days_of(narrowed.putts) == days


def test_years(played: PlayedRounds) -> None:
    assert years_of(played.holes) == "2025-2026"
    assert years_of(played.filtered(year=2026).holes) == "2026"


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"year": 2020}, "no round in 2020"),
        ({"since": date(2027, 1, 1)}, "no round from 2027-01-01 on"),
        ({"until": date(2020, 1, 1)}, "no round up to 2020-01-01"),
    ],
)
def test_no_round_left_says_what_there_is(
    played: PlayedRounds, options: dict[str, Any], words: str
) -> None:
    with pytest.raises(TooFewError, match=words) as caught:
        played.filtered(**options)
    assert "There are rounds" in caught.value.hint


def test_nothing_counts_where_every_putt_was_conceded() -> None:
    conceded = PUTTS.filter(pl.col("putt") == 1).with_columns(
        pl.lit("conceded").cast(PUTTS.schema["result"]).alias("result")
    )
    found: SeasonAnalysis = analyse(score(conceded, BASELINE))
    assert not found.counts
    assert [each.default for each in found.priorities] == [True]
    assert found.decision.note.startswith("Nothing can be told of your putting yet")


def test_a_planted_habit_stands_in_the_season_with_its_side_and_size() -> None:
    """A player who reads 45 % of left-to-right breaks too little, and has no other habit."""
    stroke = replace(TOUR_STROKE, less_left_to_right=0.45)
    putts = invented_season(InventedGolfer("Ada Brook", stroke), 60, 4, START)
    found = analyse(score(putts, BASELINE))
    (told,) = found.stroke.told
    assert (told.habit, told.where) == ("too little break", "left to right")
    assert told.size == pytest.approx(0.45, rel=0.3)
    assert told.text.startswith("Left-to-right putts: you play")
    assert found.as_dict()["misses"] == found.as_dict()["stroke"]["misses"]

"""The log answers back: marks that move, drills that rest, and a stroke known better."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from sgputt.practice.decision import decide, known_stroke
from sgputt.practice.drills import load_drills
from sgputt.practice.log import DAYS_OF_REST, SETS_TO_REST, answers, sharpened
from sgputt.practice.marks import NOBODY, KnownStroke, pass_mark
from sgputt.practice.session import mark_json
from sgputt.stroke.fitting import fit_putting_stroke
from tests.practice.invented import practised, rounds, scored, with_fault

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
DAY = date(2026, 5, 3)
CIRCLE = "circle-of-eight-5ft"


def log(*shares: float, drill: str = CIRCLE, marks: KnownStroke = NOBODY) -> pl.DataFrame:
    """Sets a day apart, each with this share of its balls successful."""
    mark = mark_json(pass_mark(BY_ID[drill], marks), "x")
    balls = BY_ID[drill].balls
    return pl.concat(
        practised(drill, DAY + timedelta(days=n), balls, round(balls * share), pass_mark=mark)
        for n, share in enumerate(shares)
    )


@pytest.mark.parametrize(
    ("shares", "harder", "words"),
    [
        ((0.95,), 0, ""),
        ((0.95, 0.95), 1, "the mark is harder"),
        ((0.95, 0.2, 0.95), 0, ""),
        ((0.2, 0.2), 0, ""),
        ((0.2, 0.2, 0.2), -1, "the mark is easier"),
        ((0.2, 0.2, 0.2, 0.95, 0.95), 0, "the mark is harder"),
        ((0.95,) * 4, 2, "another drill takes its place"),
    ],
)
def test_passed_twice_is_harder_failed_three_times_easier(
    shares: tuple[float, ...], harder: int, words: str
) -> None:
    answer = answers(log(*shares), DRILLS)[CIRCLE]
    assert (answer.harder, answer.sets) == (harder, len(shares))
    assert words in answer.words and bool(words) == bool(answer.words)
    assert answer.rests == (harder == 2)


def test_a_drill_practised_a_lot_without_showing_rests_and_one_that_shows_does_not() -> None:
    many = log(*[0.95, 0.2] * (SETS_TO_REST // 2))
    assert answers(many, DRILLS)[CIRCLE].rests
    over = many["date"].to_list()[-1] + timedelta(days=DAYS_OF_REST)
    assert answers(many, DRILLS)[CIRCLE].words.endswith(f"let it rest until {over}.")
    # Who plays on rests it as well as who practises something else.
    assert answers(many, DRILLS, played=over - timedelta(days=1))[CIRCLE].rests
    assert not answers(many, DRILLS, played=over)[CIRCLE].rests
    assert answers(many, DRILLS, played=over - timedelta(days=90))[CIRCLE].rests
    assert not answers(many, DRILLS, frozenset([CIRCLE]))[CIRCLE].rests
    mark = mark_json(pass_mark(BY_ID[CIRCLE], KnownStroke()), "x")
    few = [practised(CIRCLE, DAY, 3, 2, pass_mark=mark)] * SETS_TO_REST
    assert not answers(pl.concat(few), DRILLS)[CIRCLE].rests, "three balls are no set"
    later = pl.concat([many, practised("gate-2ft-ahead", DAY + timedelta(days=60), 20, 12)])
    assert not answers(later, DRILLS)[CIRCLE].rests, "it has rested by then"


def test_the_next_drill_takes_the_log_into_account() -> None:
    putts = rounds(with_fault(long=-0.09), 30, 7)
    table, fit = scored(putts), fit_putting_stroke(putts)
    first = decide(table.gained, 540, fit, DRILLS).priorities[0].drill.id
    balls = BY_ID[first].balls
    mark = mark_json(pass_mark(BY_ID[first], known_stroke(fit)), "x")
    sets = [
        practised(first, DAY + timedelta(days=n), balls, balls, pass_mark=mark) for n in range(4)
    ]
    found = decide(table.gained, 540, fit, DRILLS, pl.concat(sets))
    assert found.priorities[0].drill.id != first
    assert found.priorities[0].need.habit == "short"
    assert any("takes its place" in line for line in found.since)


def test_an_easier_mark_is_asked_after_three_failures() -> None:
    known = known_stroke(fit_putting_stroke(rounds(with_fault(), 30, 8)))
    failed = answers(log(0.1, 0.1, 0.1), DRILLS)[CIRCLE]
    before = pass_mark(BY_ID[CIRCLE], known).goal.successes or 0
    after = pass_mark(BY_ID[CIRCLE], known, failed.harder).goal.successes or 0
    assert after < before


def test_gates_tell_the_start_line_from_the_read() -> None:
    known = known_stroke(fit_putting_stroke(rounds(with_fault(), 30, 9)))
    narrow = sharpened(known, log(1.0, 1.0, 1.0, drill="gate-2ft-ahead"), DRILLS)
    wide = sharpened(known, log(0.4, 0.45, 0.4, drill="gate-2ft-ahead"), DRILLS)
    assert narrow.gates_logged and wide.gates_logged and not known.gates_logged
    assert narrow.best.start_line_share < known.best.start_line_share < wide.best.start_line_share
    assert pass_mark(BY_ID["gate-2ft-ahead"], wide).passed_now is not None
    assert narrow.chances.sum() == pytest.approx(1.0)


def test_strips_tell_the_pace() -> None:
    known = known_stroke(fit_putting_stroke(rounds(with_fault(), 12, 10)))
    good = sharpened(known, log(0.95, 0.95, 0.95, drill="strip-15-to-25ft"), DRILLS)
    poor = sharpened(known, log(0.3, 0.3, 0.25, drill="strip-15-to-25ft"), DRILLS)
    assert good.best.pace < known.best.pace < poor.best.pace
    spread = np.std([each.pace for each in known.strokes])
    assert abs(good.best.pace - known.best.pace) < 4 * spread


def test_a_log_of_nothing_changes_nothing() -> None:
    known = known_stroke(fit_putting_stroke(rounds(with_fault(), 12, 10)))
    empty = log(0.5).clear()
    assert answers(empty, DRILLS) == {}
    same = sharpened(known, empty, DRILLS)
    assert same.best == known.best and not same.gates_logged

"""Whether a squad's putting has changed: who truly did is told, who did not is not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import polars as pl
import pytest

from sgputt.analysis.squad import SquadAnalysis, analyse_squad
from sgputt.practice.progress import (
    FALSE_ALARM,
    Looked,
    Progress,
    _either_way,
    _size_words,
    changes_in_words,
    doubts_of_habits,
    progress_since,
    told_together,
)
from sgputt.season.scored import Scored
from sgputt.stroke.fitting import fit_putting_stroke
from tests.practice.invented import (
    START,
    USUAL,
    last_day_before,
    practised,
    rounds,
    scored,
    with_fault,
)

EACH = 12
DAY = last_day_before(EACH)
SHORT = with_fault(long=-0.12)


def few_holes(each: int) -> Scored:
    """Too few putts for a fit."""
    return scored(rounds(USUAL, each, 4, USUAL).filter(pl.col("hole") <= 3))


@pytest.fixture(scope="module")
def squad() -> SquadAnalysis:
    """One leaves putts short no more, one has logged nothing, one has hardly played."""
    log = practised("longest-on-the-green", DAY, 18, 12)
    return analyse_squad(
        {
            "Ada Brook": scored(rounds(SHORT, EACH, 3, USUAL)),
            "Bo Ferrer": few_holes(EACH),
            "Tom Vale": scored(rounds(USUAL, 1, 5)),
        },
        sessions={"Ada Brook": log},
    )


def test_who_improved_is_told_and_nobody_else(squad: SquadAnalysis) -> None:
    ada, bo, tom = (squad.progress[name] for name in ("Ada Brook", "Bo Ferrer", "Tom Vale"))
    assert (ada.verdict, bo.verdict, tom.verdict) == ("improved", "cannot tell", "cannot tell")
    assert "short before" in ada.words
    assert (ada.day, ada.why_then) == (DAY, "the first set logged")
    assert (bo.day, bo.why_then) == (DAY, "the first set logged by anybody")
    assert (ada.rounds_before, ada.rounds_since) == (EACH, EACH)
    assert tom.words == "1 round before and 0 since: it takes 2 of each at least"
    words = changes_in_words(squad.progress)
    assert words == "Improved: Ada Brook; of 2 more it cannot be told."
    found = ada.as_dict()
    assert found["verdict"] == "improved" and found["words"] == ada.words
    assert any(each["told"] for each in found["looked_at"])


def test_without_a_log_the_middle_or_a_day_that_is_asked_for() -> None:
    table = {"Bo Ferrer": few_holes(3)}
    assert analyse_squad(table).progress["Bo Ferrer"].day == last_day_before(3)
    asked = START + timedelta(days=2)
    found = analyse_squad(table, changed_since=asked).progress["Bo Ferrer"]
    assert (found.rounds_before, found.rounds_since) == (2, 4)
    assert found.why_then == "as asked for"


def test_rounds_that_happen_to_be_alike_are_no_surer_than_the_others() -> None:
    table = few_holes(6)
    late = pl.col("date") > last_day_before(6)
    alike = pl.when(late).then(-0.2).otherwise(-0.25).alias("strokes_gained")
    table.__dict__["rounds"] = table.rounds.with_columns(alike)
    found = progress_since(table, last_day_before(6), "")
    assert found.low is not None and found.high is not None
    assert found.low < 0 < found.high and found.looked_at[0].by_luck > 0.2


def looked(by_luck: float, better: bool = True, what: str = "pace") -> Looked:
    return Looked(what, f"{what} changed", 1.5, 1.2, better, by_luck)


def one(*things: Looked, low: float = -1.0, high: float = 1.0) -> Progress:
    return Progress(date(2026, 5, 1), "", 20, 10, -2.0, -1.9, 0.1, low, high, 0.7, things)


def test_more_players_ask_for_more_evidence() -> None:
    alone = told_together({"A": one(looked(0.02))})
    assert alone["A"].verdict == "improved"
    among = {str(n): one(looked(0.5)) for n in range(11)}
    assert told_together({"A": one(looked(0.02)), **among})["A"].verdict == "cannot tell"
    assert told_together({"A": one(looked(0.004)), **among})["A"].verdict == "improved"
    # The second is held to what is left to look at (Holm).
    two = told_together({"A": one(looked(0.001)), "B": one(looked(FALSE_ALARM / 11.5)), **among})
    assert two["B"].verdict == "cannot tell"


def test_strokes_gained_have_half_of_the_doubt() -> None:
    def four(strokes: float) -> Progress:
        parts = [looked(0.3, what=what) for what in ("read", "direction", "pace")]
        return one(looked(strokes, what="strokes gained"), *parts)

    others = {str(n): four(0.5) for n in range(11)}
    assert told_together({"A": four(0.002), **others})["A"].verdict == "improved"
    assert told_together({"A": four(0.0022), **others})["A"].verdict == "cannot tell"
    alone = told_together({"A": four(0.5)})["A"].would_show
    assert (told_together({"A": four(0.5), **others})["A"].would_show or 0) > (alone or 0) > 0.7


@pytest.mark.parametrize(
    ("progress", "verdict"),
    [
        (one(looked(0.0, better=False)), "worse"),
        (one(looked(0.0), looked(0.0, False, "read")), "better and worse"),
        # Steadier, and yet strokes were lost: no improvement.
        (one(looked(0.0), low=-2.0, high=-0.2), "better and worse"),
        (replace(one(), looked_at=()), "cannot tell"),
    ],
)
def test_verdicts(progress: Progress, verdict: str) -> None:
    assert told_together({"A": progress})["A"].verdict == verdict


def test_few_rounds_look_at_strokes_alone() -> None:
    found = progress_since(few_holes(2), START + timedelta(days=1), "")
    assert [each.what for each in found.looked_at] == ["strokes gained"]


def test_few_rounds_are_not_sure_that_a_habit_is_gone() -> None:
    """A fit to few putts that tells no habit takes none for likely, with a small error."""
    fit = fit_putting_stroke(rounds(USUAL, 4, 1))
    many, few = replace(fit, putts=900), replace(fit, putts=100)
    assert doubts_of_habits((many, 0.01), (few, 0.005)) == pytest.approx((0.01, 0.03))
    assert doubts_of_habits((few, 0.005), (many, 0.01)) == pytest.approx((0.03, 0.01))
    assert doubts_of_habits((many, 0.01), (few, 0.05)) == pytest.approx((0.01, 0.05))


def test_few_rounds_ask_for_more_than_many() -> None:
    fit = fit_putting_stroke(rounds(USUAL, 4, 1))
    many, few = (replace(fit, rounds=count) for count in (60, 4))
    alike = _either_way(0.33, (0.07, 0.07), (many, many))
    assert alike == pytest.approx(0.001, abs=0.0006)
    assert _either_way(0.33, (0.05, 0.085), (many, few)) > 10 * alike


def test_a_habit_that_is_gone_is_none() -> None:
    """It read "9 % short before, 0 % long since"."""
    assert [_size_words("roll", size) for size in (-0.09, 0.004, -0.001)] == [
        "9 % short",
        "none",
        "none",
    ]
    assert _size_words("degrees", 0.6) == "0.6 degrees left"


def test_nobody_is_told_of_in_words() -> None:
    assert "cannot be told yet" in changes_in_words({"A": one()})

"""What the practice log says: success rates, what becomes of marks and of the stroke known."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import polars as pl
from scipy.special import ndtr

from sgputt.inference.cells import SURE
from sgputt.inference.intervals import LEVEL, wilson_interval
from sgputt.practice.drills import Drill
from sgputt.practice.marks import KnownStroke
from sgputt.practice.scoring import Gate, Scoring
from sgputt.practice.session import passed
from sgputt.stroke.player import HABITS, PART_OF, PuttingStroke

Row = dict[str, Any]
FEWEST_SETS = 4
# Passed so often in a row, a mark gets harder; failed so often in a row, easier. Passed again so
# often at the harder mark, the drill has done its work for now. Choices of this project.
PASSES_TO_MOVE = 2
FAILS_TO_EASE = 3
STEPS_OF_A_DRILL = 2
# So many sets without showing on the course, and a drill rests for so many days.
SETS_TO_REST = 8
DAYS_OF_REST = 21
# Practice tells of the stroke on the course with less weight than its balls have: the same putt
# again, no card to sign. A choice, no source; no set counts for more than so many balls.
_PRACTICE_WEIGHT = 0.5
_MOST_BALLS = 60.0
# Drills whose balls are putted from one place again and again.
_REPEATED = frozenset(["gate", "pair", "pace-line", "ladder"])
_FEW_CHANCES = (0.02, 0.98)


@dataclass(frozen=True)
class Answer:
    """What the log says of one drill.

    Attributes
    ----------
    sets, judged, passed : int
    harder : int
        Steps by which its mark is harder (or easier) than a first one.
    done : bool
        Whether its marks were passed until another drill should have its place.
    rests : bool
        Whether it was practised a lot without showing on the course, or is done.
    words : str
        What that means now; empty when nothing changed.
    moved : str
        What its latest set did to the mark; empty for nothing.
    """

    drill: str
    sets: int
    judged: int
    passed: int
    last: dt.date
    harder: int
    done: bool
    rests: bool
    words: str
    moved: str = ""


def answers(
    sessions: pl.DataFrame,
    drills: Sequence[Drill],
    shown: frozenset[str] = frozenset(),
    played: dt.date | None = None,
) -> dict[str, Answer]:
    """What the log says of every drill practised.

    Passed twice running: a harder mark. Passed twice at that: the next drill, this one rests.
    Failed three times running: an easier mark. Practised a lot without showing: it rests.

    Parameters
    ----------
    sessions : polars.DataFrame
        Sets of one player in the order practised, columns of
        :data:`sgputt.practice.session.SESSIONS_SCHEMA`.
    drills : sequence of Drill
    shown : frozenset of str
        Drills whose practice shows on the course.
    played : datetime.date, optional
        Day of the last round, where that is known: a rest is over so many days before it, or before
        the last set of any drill.
    """
    names = {drill.id: drill.name for drill in drills}
    if sessions.is_empty():
        return {}
    last = sessions["date"].max()
    assert isinstance(last, dt.date)
    today = last if played is None else max(last, played)
    found = {}
    for (drill,), rows in sessions.group_by("drill", maintain_order=True):
        if drill in names:
            answer = _answer(str(drill), names[str(drill)], rows, today, drill in shown)
            found[answer.drill] = answer
    return found


def _answer(drill: str, name: str, rows: pl.DataFrame, today: dt.date, shows: bool) -> Answer:
    harder, passes, fails = 0, 0, 0
    words = ""
    sets = list(rows.iter_rows(named=True))
    verdicts = [v for row in sets if (v := passed(row)) is not None]
    # A few balls are no set; older logs have sets without a mark.
    whole = len(verdicts) + sum(row["pass_mark"] is None for row in sets)
    for verdict in verdicts:
        passes, fails = (passes + 1, 0) if verdict else (0, fails + 1)
        words = ""
        if passes == PASSES_TO_MOVE:
            harder, passes = harder + 1, 0
            words = f"{name}: passed {PASSES_TO_MOVE} times running, so the mark is harder now."
        elif fails == FAILS_TO_EASE:
            harder, fails = harder - 1, 0
            words = f"{name}: not passed {FAILS_TO_EASE} times running, so the mark is easier now."
    moved = words
    last = rows["date"].to_list()[-1]
    recent = (today - last).days < DAYS_OF_REST
    done = harder >= STEPS_OF_A_DRILL and recent
    tired = whole >= SETS_TO_REST and not shows and recent
    if done:
        words = f"{name}: its marks are passed; another drill takes its place for now."
        moved = moved and words
    elif tired:
        words = (
            f"{name}: {whole} sets and it does not show on the course yet; let it rest until"
            f" {last + dt.timedelta(days=DAYS_OF_REST)}."
        )
    return Answer(
        drill,
        rows.height,
        len(verdicts),
        sum(verdicts),
        last,
        harder,
        done,
        done or tired,
        words,
        moved,
    )


def sharpened(known: KnownStroke, sessions: pl.DataFrame, drills: Sequence[Drill]) -> KnownStroke:
    """What is known of a stroke when the log is counted in.

    Each stroke that the rounds leave possible is weighted by how well it goes with the successes
    logged. Gates tell the start line; circles and strips the pace; putts from one place again and
    again are taken as learnt (:meth:`sgputt.stroke.player.PuttingStroke.learnt`).

    Parameters
    ----------
    known : KnownStroke
        As the rounds leave it.
    sessions : polars.DataFrame
        Sets of that player.
    drills : sequence of Drill
    """
    by_id = {drill.id: drill for drill in drills}
    logs = np.log(np.maximum(known.chances, 1e-300))
    gates = False
    for row in sessions.iter_rows(named=True):
        drill = by_id.get(row["drill"])
        if drill is None or drill.surface != "green" or not row["balls"]:
            continue
        scoring = _as_practised(drill.scoring, row["pass_mark"])
        gates = gates or isinstance(scoring, Gate)
        weight = _PRACTICE_WEIGHT * min(1.0, _MOST_BALLS / row["balls"])
        good, bad = row["successes"], row["balls"] - row["successes"]
        repeated = drill.kind in _REPEATED
        for at, stroke in enumerate(known.strokes):
            played = stroke.learnt() if repeated else stroke
            chance = np.clip(float(scoring.chances(played).mean()), *_FEW_CHANCES)
            logs[at] += weight * (good * np.log(chance) + bad * np.log1p(-chance))
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    return replace(known, best=_moved(known, weights), weights=weights, gates_logged=gates)


def _moved(known: KnownStroke, weights: np.ndarray) -> PuttingStroke:
    """The most likely stroke, moved as far as the mean of the possible ones moves."""
    changes: dict[str, float] = {}
    for part in (*PART_OF.values(), "start_line_share"):
        logs = np.log([getattr(each, part) for each in known.strokes])
        moved = float(weights @ logs - known.chances @ logs)
        changes[part] = getattr(known.best, part) * float(np.exp(moved))
    for part in HABITS:
        values = np.array([getattr(each, part) for each in known.strokes])
        moved = float(weights @ values - known.chances @ values)
        changes[part] = getattr(known.best, part) + moved
    return replace(known.best, **changes)


def _as_practised(scoring: Scoring, pass_mark: str | None) -> Scoring:
    """The scoring with the sizes that a set was played with, as its mark kept them."""
    kept = json.loads(pass_mark) if pass_mark else {}
    if kept.get("width_in") is not None and isinstance(scoring, Gate):
        scoring = replace(scoring, width_in=float(kept["width_in"]))
    if kept.get("size_ft") is not None and scoring.target.size_ft is not None:
        scoring = replace(scoring, target=scoring.target.sized(float(kept["size_ft"])))
    tees = kept.get("tees_ft") or []
    if tees and scoring.stations:
        places = scoring.stations * (1 + len(tees) // len(scoring.stations))
        moved = [
            replace(each, length_ft=float(tee)) for each, tee in zip(places, tees, strict=False)
        ]
        scoring = replace(scoring, stations=tuple(moved))
    return scoring


@dataclass(frozen=True)
class DrillHistory:
    """All sets of one drill.

    Attributes
    ----------
    rate, low, high : float
        Share of balls that succeeded, with Wilson's interval.
    mark : str
        The latest mark it was held to, in words; empty for none.
    mark_rate : float or None
        Share of balls that mark asks for; None for a streak, or without a mark.
    passed, judged : int
        Sets that reached their own mark, of those that had one.
    trend : str
        In words.
    chance_better : float or None
        Probability that the later half of the sets is truly better than the earlier; None with
        fewer than four sets.
    """

    drill: str
    sets: int
    first: dt.date
    last: dt.date
    balls: int
    successes: int
    rate: float
    low: float
    high: float
    mark: str
    mark_rate: float | None
    passed: int
    judged: int
    trend: str
    chance_better: float | None
    level: float = LEVEL


def histories(sessions: pl.DataFrame, level: float = LEVEL) -> list[DrillHistory]:
    """Sum up every drill practised, the latest first.

    Parameters
    ----------
    sessions : polars.DataFrame
        Columns of :data:`sgputt.practice.session.SESSIONS_SCHEMA`, in the order practised.
    level : float
        Coverage aimed at by the intervals.
    """
    found = [
        _history(str(drill), rows.rows(named=True), level)
        for (drill,), rows in sessions.group_by("drill", maintain_order=True)
    ]
    return sorted(found, key=lambda each: (-each.last.toordinal(), each.drill))


def _history(drill: str, rows: list[Row], level: float) -> DrillHistory:
    balls, successes = _sums(rows)
    low, high = wilson_interval(successes, balls, level)
    verdicts = [verdict for row in rows if (verdict := passed(row)) is not None]
    marks = [json.loads(row["pass_mark"]) for row in rows if row["pass_mark"] is not None]
    last = marks[-1] if marks else None
    counted = last is not None and last["in_a_row"] is None
    chance = later_better(rows)
    return DrillHistory(
        drill=drill,
        sets=len(rows),
        first=rows[0]["date"],
        last=rows[-1]["date"],
        balls=balls,
        successes=successes,
        rate=successes / balls,
        low=low,
        high=high,
        mark=last["text"] if last else "",
        mark_rate=last["successes"] / last["balls"] if last and counted else None,
        passed=sum(verdicts),
        judged=len(verdicts),
        trend=_trend(rows, chance),
        chance_better=chance,
        level=level,
    )


def _sums(rows: Sequence[Row]) -> tuple[int, int]:
    return sum(row["balls"] for row in rows), sum(row["successes"] for row in rows)


def later_better(rows: Sequence[Row]) -> float | None:
    """Probability that the later half of some sets has the higher success rate.

    Normal, from the difference of two shares; each with a success and a failure added (Agresti &
    Caffo 2000, *Amer. Statist.* 54(4), 280-288; from memory). None with fewer than four sets.
    """
    if len(rows) < FEWEST_SETS:
        return None
    half = len(rows) // 2
    shares, variance = [], 0.0
    for part in (rows[:half], rows[-half:]):
        balls, successes = _sums(part)
        share = (successes + 1) / (balls + 2)
        shares.append(share)
        variance += share * (1 - share) / (balls + 2)
    return float(ndtr((shares[1] - shares[0]) / np.sqrt(variance)))


def _trend(rows: Sequence[Row], chance: float | None) -> str:
    if chance is None:
        more = FEWEST_SETS - len(rows)
        return f"too few sets for a trend; {more} more would give one"
    half = len(rows) // 2
    first, second = (_sums(part) for part in (rows[:half], rows[-half:]))
    shares = f"{_percent(first)} at first, {_percent(second)} lately"
    if chance >= SURE:
        return f"getting better: {shares}"
    if chance <= 1 - SURE:
        return f"getting worse: {shares}"
    return f"no change that can be told from luck: {shares}"


def _percent(sums: tuple[int, int]) -> str:
    balls, successes = sums
    return f"{100 * successes / balls:.0f} %"

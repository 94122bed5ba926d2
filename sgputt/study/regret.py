"""What the first drill loses against the best one, on invented players whose truth is known.

``make calibrate`` runs this beside the study of the fit and writes ``regret.csv``: for seasons of 5
to 60 rounds, on greens and cards as the program believes them and on others (heavier tails, days
that differ, whole feet, words left out or wrong), the mean regret in strokes a round of the drill
named first, of the drill for the worst raw cell, of that for the largest gap in makes, and of the
one drill that would serve all these players best; how often the planted fault comes first; and how
often something is told that the true stroke does not have. The spreads of all players differ by
chance, so one without a planted fault may yet have a spread that is truly out of line.

Regret: worth of the best drill less worth of the chosen one, both of the true stroke on the
player's own putts (:mod:`sgputt.practice.worth`). Nobody knows what a step is, so it is counted by
the step that the program assumes and by steps that it does not (:data:`OTHER_STEPS`).
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import TooFewError
from sgputt.inference.cells import ANY, cell_table
from sgputt.practice.decision import decide
from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.marks import KnownStroke, habit_word
from sgputt.practice.needs import DEPARTURE, Need
from sgputt.practice.worth import (
    MetPutts,
    Step,
    drill_worths,
    met_putts,
    steps_of,
    usual_putts,
    worth_of_steps,
)
from sgputt.putts.bands import RANGES_FT
from sgputt.season.scored import Scored, score
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import HABITS, PART_OF, TOUR_STROKE, PuttingStroke

PLAYERS = 24
ROUNDS = (5, 10, 20, 30, 60)
BELIEVED = Conditions(step_ft=0.5)
OTHER = Conditions(grade=0.022, step_ft=1.0, left_out=0.2, wrong_side=0.08, tail=5.0, day_pace=0.03)
MODELS = {"believed": BELIEVED, "other": OTHER}
# Steps that the program does not assume: what a spread and a habit are multiplied by.
OTHER_STEPS = {
    "spreads 5 %": (0.95, 0.5),
    "spreads 10 %": (0.9, 0.5),
    "spreads 20 %": (0.8, 0.5),
    "spreads 10 %, habits a quarter": (0.9, 0.75),
}
_START = date(2000, 1, 1)
# Spreads of the invented players: a good amateur's, each differing by about so much.
_MIDDLE = {"direction_deg": 1.3, "read": 0.34, "pace": 0.097}
_SPREAD = 0.18
# What may be planted: parts of the stroke with their sign, the cause and the habit it is.
FAULTS: dict[str, tuple[dict[str, float], str, str | None]] = {
    "short": ({"long": -0.05}, "pace", "short"),
    "long": ({"long": 0.08}, "pace", "long"),
    "short uphill": ({"long_uphill": -0.1}, "pace", "short"),
    "long downhill": ({"long_downhill": 0.1}, "pace", "long"),
    "low": (
        {"less_left_to_right": 0.25, "less_right_to_left": 0.25},
        "read",
        "too little break",
    ),
    "high": (
        {"less_left_to_right": -0.25, "less_right_to_left": -0.25},
        "read",
        "too much break",
    ),
    "low left to right": ({"less_left_to_right": 0.35}, "read", "too little break"),
    "left": ({"left_deg": 0.6}, "direction", "left"),
    "right": ({"left_deg": -0.6}, "direction", "right"),
    "direction": ({"direction_deg": 0.5}, "direction", None),
    "pace": ({"pace": 0.05}, "pace", None),
}
_NONE = "none"


@dataclass(frozen=True)
class RegretCase:
    """A player of the study, a number of rounds, and what greens and cards are like."""

    player: int
    rounds: int
    model: str

    @property
    def fault(self) -> str:
        """What is planted: every third player has nothing."""
        names = list(FAULTS)
        if self.player % 3 == 0:
            return _NONE
        return names[(self.player - self.player // 3) % len(names)]

    @property
    def stroke(self) -> PuttingStroke:
        """The player's true stroke; the fault costs about a stroke a round."""
        rng = np.random.default_rng([7, self.player])
        spreads = {
            name: float(middle * np.exp(rng.normal(0, _SPREAD))) for name, middle in _MIDDLE.items()
        }
        stroke = PuttingStroke(**spreads)
        if self.fault == _NONE:
            return stroke
        size = _size_of_a_stroke(stroke, FAULTS[self.fault][0])
        return _with(stroke, FAULTS[self.fault][0], size)


def _with(stroke: PuttingStroke, fault: dict[str, float], size: float) -> PuttingStroke:
    return replace(
        stroke, **{part: getattr(stroke, part) + size * by for part, by in fault.items()}
    )


def _size_of_a_stroke(stroke: PuttingStroke, fault: dict[str, float]) -> float:
    """How much of a fault costs a stroke a round on usual putts."""
    met, size = usual_putts(), 1.0
    for _ in range(4):
        bad = _with(stroke, fault, size)
        cost = 0.0
        for part in fault:
            factor = getattr(stroke, part) / getattr(bad, part)
            step = Step(part, float(factor))
            cost += float(worth_of_steps(KnownStroke(bad), [step], met)[part].sum())
        size *= float(np.clip(1 / max(cost, 0.05), 0.4, 2.5)) ** 0.7
    return size


def run_case(case: RegretCase) -> dict[str, float | str | None]:
    """Play one season, let every rule choose, and count what each choice is truly worth.

    Returns
    -------
    dict
        ``worth_<rule>`` of the drill chosen by each rule, ``best``, ``right`` (the planted cause
        and habit come first; null without a fault), ``told`` (something is said to stand out),
        ``untrue`` (some of that the true stroke does not have), ``drill_<id>`` with the true worth
        of every drill, and ``regret by <step>`` of the tool's choice by each of
        :data:`OTHER_STEPS`.
    """
    golfer = InventedGolfer("Invented", case.stroke)
    seed = 1000 * case.rounds + case.player
    putts = invented_season(golfer, case.rounds, seed, _START, 1, conditions=MODELS[case.model])
    scored = score(putts, get_baseline("tour"))
    drills = [each for each in load_drills() if each.surface == "green"]
    known, met = KnownStroke(case.stroke), met_putts(putts, 18 * case.rounds)
    true = _true_worths(known, met, steps_of(known), drills)
    try:
        fit = fit_putting_stroke(putts)
    except TooFewError:
        fit = None
    decision = decide(scored.gained, scored.holes.height, fit, drills)
    first = decision.priorities[0]
    chosen = {
        "tool": first.drill.id,
        "worst_cell": _for_worst_cell(scored, drills),
        "make_gap": _for_make_gap(scored, drills),
    }
    right = None
    if case.fault != _NONE:
        _, cause, habit = FAULTS[case.fault]
        right = float((first.need.cause, first.need.habit) == (cause, habit))
    return {
        **{f"worth_{rule}": true[drill] for rule, drill in chosen.items()},
        "best": max(true.values()),
        "right": right,
        "told": float(decision.stands_out),
        "untrue": float(
            any(need.told and not _true_of(case.stroke, need) for need in decision.needs)
        ),
        **{f"drill_{drill}": value for drill, value in true.items()},
        **{
            f"regret by {name}": max(other.values()) - other[chosen["tool"]]
            for name, (spread, habit) in OTHER_STEPS.items()
            for other in [_true_worths(known, met, _all_steps(spread, habit), drills)]
        },
    }


def _all_steps(spread: float, habit: float) -> list[Step]:
    spreads = [Step(part, spread) for part in PART_OF.values()]
    return spreads + [Step(part, habit) for part in HABITS]


def _true_of(stroke: PuttingStroke, need: Need) -> bool:
    """Whether the stroke has a need; none of the study has a departure.

    A spread is one where it is wider than the others, each measured against the tour's.
    """
    if need.parts == (DEPARTURE,):
        return False
    if need.habit is not None:
        sizes = [getattr(stroke, part) for part in need.parts]
        return any(size and habit_word(need.parts[0], size) == need.habit for size in sizes)
    ratios = {each: getattr(stroke, each) / getattr(TOUR_STROKE, each) for each in _MIDDLE}
    own = ratios.pop(need.parts[0])
    return bool(np.log(own) > np.mean(np.log(list(ratios.values()))))


def _true_worths(
    known: KnownStroke, met: MetPutts, steps: Sequence[Step], drills: Sequence[Drill]
) -> dict[str, float]:
    worth = worth_of_steps(known, steps, met)
    found = drill_worths(drills, met, worth, [known.best])
    return {name: float(sum(each[0] for each in parts.values())) for name, parts in found.items()}


def _for_worst_cell(scored: Scored, drills: Sequence[Drill]) -> str:
    """Drill for the band and component that lose most as played, as a table of losses has it."""
    cells = cell_table(scored.matrix).filter(pl.col("slope") == ANY).sort("per_round")
    if cells.is_empty():
        return drills[0].id
    row = cells.row(0, named=True)
    cause = "direction" if row["component"] == "holing" else "pace"
    return _covering(drills, RANGES_FT[str(row["distance"])], cause)


def _for_make_gap(scored: Scored, drills: Sequence[Drill]) -> str:
    """Drill for the band where the share holed lies furthest below the baseline's."""
    gaps = (
        scored.gained.filter("counts")
        .group_by("band")
        .agg(
            (pl.col("result") == "holed").mean().alias("made"),
            pl.col("one_putt").mean().alias("usual"),
            pl.len().alias("putts"),
        )
        .filter(pl.col("putts") >= 5)
        .with_columns((pl.col("made") - pl.col("usual")).alias("gap"))
        .sort("gap")
    )
    if gaps.is_empty():
        return drills[0].id
    return _covering(drills, RANGES_FT[str(gaps["band"][0])], "direction")


def _covering(drills: Sequence[Drill], band: tuple[float, float], cause: str) -> str:
    """The drill of a cause that covers a band most and strays least from it."""

    def fit(drill: Drill) -> float:
        if cause not in drill.cause:
            return -1.0
        low = min(each.low_ft for each in drill.trains)
        high = max(each.high_ft for each in drill.trains)
        inside = max(0.0, min(high, band[1]) - max(low, band[0]))
        return inside / (band[1] - band[0]) - 0.1 * (high - low) / (band[1] - band[0])

    return max(drills, key=fit).id


def summed(results: Sequence[tuple[RegretCase, dict[str, float | str | None]]]) -> pl.DataFrame:
    """Results as one row a model and number of rounds: mean regrets with their standard errors."""
    frame = pl.DataFrame(
        [{"model": c.model, "rounds": c.rounds, "fault": c.fault, **r} for c, r in results],
        infer_schema_length=None,
    )
    drills = [name for name in frame.columns if name.startswith("drill_")]
    # One fixed drill: the one that serves all these players best.
    fixed = max(drills, key=lambda name: float(frame[name].to_numpy().mean()))
    rules = {"tool": "worth_tool", "worst_cell": "worth_worst_cell", "make_gap": "worth_make_gap"}
    regrets = [
        (pl.col("best") - pl.col(column)).alias(rule)
        for rule, column in {**rules, "fixed": fixed}.items()
    ]
    return (
        frame.with_columns(regrets)
        .group_by("model", "rounds", maintain_order=True)
        .agg(
            pl.len().alias("players"),
            *(pl.col(rule).mean() for rule in (*rules, "fixed")),
            (pl.col("tool").std() / pl.len().sqrt()).alias("tool_error"),
            ((pl.col("tool") - pl.col("fixed")).std() / pl.len().sqrt()).alias("tool_fixed_error"),
            pl.col("best").mean(),
            pl.col("right").mean(),
            pl.col("told").filter(pl.col("fault") == _NONE).mean().alias("told_of_none"),
            pl.col("untrue").mean(),
            *(pl.col(f"regret by {name}").mean() for name in OTHER_STEPS),
        )
        .with_columns(pl.lit(fixed.removeprefix("drill_")).alias("fixed_drill"))
    )


def cases(players: int = PLAYERS) -> list[RegretCase]:
    """What the study plays."""
    return [
        RegretCase(player, rounds, model)
        for model in MODELS
        for rounds in ROUNDS
        for player in range(players)
    ]


def main(arguments: Sequence[str] = ()) -> None:
    """Run the study and write its table to the file named, or ``regret.csv``."""
    out = Path(arguments[0] if arguments else "regret.csv")
    todo = cases(int(arguments[1]) if len(arguments) > 1 else PLAYERS)
    with ProcessPoolExecutor() as pool:
        results = list(zip(todo, pool.map(run_case, todo), strict=True))
    table = summed(results)
    table.write_csv(out, float_precision=4)
    with pl.Config(tbl_rows=-1, tbl_cols=-1, tbl_width_chars=200, float_precision=3):
        print(table)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])

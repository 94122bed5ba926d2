"""The tables of practice: what to practise, and what was practised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict

import polars as pl

from sgputt.practice.history import DrillHistory
from sgputt.practice.pass_mark import PassMark
from sgputt.practice.priorities import Priority
from sgputt_reports.tables import Figures, Table, make_table

_PRIORITY_COLUMNS = (
    "rank",
    "distance",
    "slope",
    "component",
    "putts",
    "loss_per_round",
    "low",
    "high",
    "chance_of_loss",
    "rounds_to_tell",
    "drill",
    "drill_name",
    "minutes",
    "balls",
    "worth_per_round",
    "why",
    "setup",
    "do",
    "pass_mark",
    "own_pass_mark",
    "set_up",
)
_PRACTISED_COLUMNS = (
    "drill",
    "sets",
    "last",
    "balls",
    "successes",
    "rate",
    "low",
    "high",
    "mark",
    "passed",
    "judged",
)


def priorities_table(priorities: Sequence[Priority], marks: Mapping[str, PassMark]) -> Table:
    """Losses worth practising, one row each, with all there is to say of the drill.

    ``set_up`` is why and how the drill is set up otherwise than in the catalogue.
    """
    rows = []
    for each in priorities:
        fields = {name: getattr(each, name, None) for name in _PRIORITY_COLUMNS}
        drill = each.drill
        fields |= {"drill": drill.id, "drill_name": drill.name, "minutes": drill.minutes}
        fields |= {"balls": drill.balls, "setup": drill.setup, "do": drill.do}
        mark = marks[drill.id]
        rows.append({**fields, "own_pass_mark": mark.text, "set_up": mark.set_up})
    return make_table(
        "priorities",
        "What to practise",
        pl.DataFrame(rows, None if rows else _PRIORITY_COLUMNS, infer_schema_length=None),
        _PRIORITY_COLUMNS,
        kinds={"low": "strokes", "high": "strokes"},
        prose=("why", "setup", "do", "pass_mark", "own_pass_mark", "set_up"),
        figures=[
            Figures(
                ("distance", "slope", "component"),
                "loss_per_round",
                "strokes lost a round, shrunk",
                "putts",
            )
        ],
    )


def practised_table(practised: Sequence[DrillHistory]) -> Table:
    """Drills practised, one row each, with their share of successes."""
    frame = pl.DataFrame([asdict(each) for each in practised], infer_schema_length=None)
    return make_table(
        "practised",
        "Drills practised",
        frame,
        _PRACTISED_COLUMNS,
        kinds={"low": "share", "high": "share"},
        figures=[Figures(("drill",), "rate", "share of balls", "balls")],
    )

"""The tables of practice: what to practise, and what was practised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import polars as pl

from sgputt.practice.decision import Priority
from sgputt.practice.log import DrillHistory
from sgputt_reports.tables import Figures, Table, make_table

_PRIORITY_COLUMNS = (
    "rank",
    "cause",
    "habit",
    "distance",
    "slope",
    "break",
    "default",
    "told",
    "drill",
    "drill_name",
    "minutes",
    "balls",
    "worth_per_round",
    "low",
    "high",
    "worth_per_set",
    "chance_best",
    "why",
    "setup",
    "do",
    "pass_mark",
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


def priorities_table(priorities: Sequence[Priority]) -> Table:
    """What to practise, a row a drill, with all there is to say of it.

    ``set_up`` is why and how the drill is set up otherwise than in the catalogue.
    """
    rows = []
    for each in priorities:
        drill, found = each.drill, each.as_dict()
        found |= {**found.pop("where"), "drill_name": drill.name, "balls": drill.balls}
        found |= {
            "default": _yes(each.default),
            "told": _yes(each.told),
            "setup": drill.setup,
            "do": drill.do,
            "set_up": each.set_up,
        }
        rows.append({name: found[name] for name in _PRIORITY_COLUMNS})
    return make_table(
        "priorities",
        "What to practise",
        pl.DataFrame(rows, None if rows else _PRIORITY_COLUMNS, infer_schema_length=None),
        _PRIORITY_COLUMNS,
        kinds={"low": "strokes", "high": "strokes"},
        prose=("why", "setup", "do", "pass_mark", "set_up"),
        figures=[
            Figures(("cause", "drill"), "worth_per_round", "strokes a round for a step", "balls")
        ],
    )


def _yes(value: bool) -> str:
    return "yes" if value else "no"


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

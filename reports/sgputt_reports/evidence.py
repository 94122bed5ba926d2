"""What stands behind a season beside its summary."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import polars as pl

from sgputt.analysis.season import SeasonAnalysis
from sgputt.practice.history import DrillHistory
from sgputt.season.trend import RoundStory


@dataclass(frozen=True)
class Evidence:
    """What stands behind a season beside its summary; what is absent or empty is not shown.

    Attributes
    ----------
    makes, curve, leaves, finishes, places : polars.DataFrame
        From :mod:`sgputt.season.makes_and_leaves`.
    trend : polars.DataFrame
        From :func:`sgputt.season.trend.trend`.
    breakdowns : mapping of str to polars.DataFrame
        From :func:`sgputt.season.breakdown.gained_by`, under ``months``, ``events``, ``courses``
        and ``stimps``; others are left out.
    best, worst : sequence of RoundStory
    practised : sequence of DrillHistory
    drill_names : mapping of str to str
        Names of the drills by their id; the id stands for an absent one.
    """

    makes: pl.DataFrame
    curve: pl.DataFrame
    leaves: pl.DataFrame
    finishes: pl.DataFrame
    places: pl.DataFrame
    trend: pl.DataFrame
    breakdowns: Mapping[str, pl.DataFrame] = field(default_factory=dict)
    best: Sequence[RoundStory] = ()
    worst: Sequence[RoundStory] = ()
    practised: Sequence[DrillHistory] = ()
    drill_names: Mapping[str, str] = field(default_factory=dict)


def evidence_of(analysis: SeasonAnalysis) -> Evidence:
    """What the pages show beside the summary."""
    return Evidence(
        makes=analysis.makes,
        curve=analysis.baseline_curve,
        leaves=analysis.leaves,
        finishes=analysis.finishes,
        places=analysis.miss_places,
        trend=analysis.smooth_trend,
        breakdowns=analysis.breakdowns,
        best=analysis.best,
        worst=analysis.worst,
        practised=analysis.practised,
        drill_names={drill.id: drill.name for drill in analysis.drills},
    )

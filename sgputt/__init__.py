"""Strokes gained in putting: from a round's scorecard to the next drill.

The names below are the Python interface. Each is loaded when it is first used, so that importing
the package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sgputt.analysis.comparison import compare
    from sgputt.analysis.round import analyse_round
    from sgputt.analysis.rounds import PlayedRounds
    from sgputt.analysis.season import analyse
    from sgputt.analysis.squad import analyse_squad
    from sgputt.api import putts_from, to_pandas
    from sgputt.archive.store import Archive
    from sgputt.baseline.catalogue import get_baseline
    from sgputt.errors import SgputtError
    from sgputt.practice.decision import decide
    from sgputt.practice.drills import load_drills
    from sgputt.putts.table import conform_putts
    from sgputt.scorecard import CardOptions, read_scorecard
    from sgputt.season.scored import score
    from sgputt.season.summary import season_summary
    from sgputt.stroke.fitting import fit_putting_stroke

    __version__: str

_HOMES = {
    "Archive": "archive.store",
    "CardOptions": "scorecard",
    "PlayedRounds": "analysis.rounds",
    "SgputtError": "errors",
    "analyse": "analysis.season",
    "analyse_round": "analysis.round",
    "analyse_squad": "analysis.squad",
    "compare": "analysis.comparison",
    "conform_putts": "putts.table",
    "fit_putting_stroke": "stroke.fitting",
    "get_baseline": "baseline.catalogue",
    "load_drills": "practice.drills",
    "putts_from": "api",
    "decide": "practice.decision",
    "read_scorecard": "scorecard",
    "score": "season.scored",
    "season_summary": "season.summary",
    "to_pandas": "api",
}

__all__ = [
    "Archive",
    "CardOptions",
    "PlayedRounds",
    "SgputtError",
    "analyse",
    "analyse_round",
    "analyse_squad",
    "compare",
    "conform_putts",
    "decide",
    "fit_putting_stroke",
    "get_baseline",
    "load_drills",
    "putts_from",
    "read_scorecard",
    "score",
    "season_summary",
    "to_pandas",
]


def __getattr__(name: str) -> Any:
    """Load a name when it is first used; ``__version__`` is that of the installed package."""
    if name == "__version__":
        value: Any = import_module("importlib.metadata").version("sgputt")
    elif name in _HOMES:
        value = getattr(import_module(f"sgputt.{_HOMES[name]}"), name)
    else:
        raise AttributeError(f"module 'sgputt' has no attribute {name!r}")
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Names of the interface beside those already loaded."""
    return sorted({*globals(), *__all__, "__version__"})

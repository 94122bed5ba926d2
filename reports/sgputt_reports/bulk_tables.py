"""The tables of many players and seasons, for files."""

from __future__ import annotations

from sgputt.bulk.report import Bulk
from sgputt_reports.tables import Table, make_table

_FIGURES = (
    "rounds",
    "holes",
    "putts",
    "putts_per_round",
    "one_putts",
    "three_putts",
    "per_round",
    "low",
    "high",
    "holing",
    "leave",
    "not_split",
    "conceded",
)
_SHRUNK = ("shrunk_per_round", "shrunk_low", "shrunk_high")
_BAND = ("putts", "made", "expected_made", "per_round", "low", "high", "holing", "leave")


def bulk_tables(bulk: Bulk) -> list[Table]:
    """Players, their seasons, squads, their seasons, squads by distance, and the problems."""
    return [
        make_table("players", "Players", bulk.players, ("squad", "player", *_FIGURES, *_SHRUNK)),
        make_table(
            "player_seasons",
            "Players by season",
            bulk.player_seasons,
            ("squad", "player", "season", *_FIGURES, *_SHRUNK),
        ),
        make_table("squads", "Squads", bulk.squads, ("squad", *_FIGURES)),
        make_table(
            "squad_seasons", "Squads by season", bulk.squad_seasons, ("squad", "season", *_FIGURES)
        ),
        make_table(
            "distances",
            "Squads by distance",
            bulk.distances.rename({"band": "distance"}),
            ("squad", "distance", *_BAND, "not_split"),
        ),
        make_table("problems", "Problems", bulk.problems, tuple(bulk.problems.columns)),
    ]

"""Which stored rounds a command is about."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from sgputt.errors import TooFewError
from sgputt.season.scored import Scored, score
from sgputt.stroke.model import Stroke
from sgputt_cli.shared import Shared


@dataclass(frozen=True)
class Selection:
    """A player's rounds, scored; ``season`` says which."""

    player: str
    season: str
    scored: Scored


def select(shared: Shared, year: int | None = None) -> Selection:
    """Score the rounds of one player, of one year or all."""
    baseline = shared.get_baseline()
    with shared.open_archive() as archive:
        player = shared.one_player(archive)
        holes, putts = archive.holes(player), archive.putts(player)
    if year is not None:
        years = sorted(set(holes["date"].dt.year().to_list()))
        in_year = pl.col("date").dt.year() == year
        holes, putts = holes.filter(in_year), putts.filter(in_year)
        if holes.is_empty():
            raise TooFewError(
                f"{player} has no round in {year}.",
                f"There are rounds in: {', '.join(map(str, years))}.",
            )
    return Selection(player, _span(holes), score(putts, baseline, holes))


def select_round(shared: Shared, round_id: int | None) -> Scored:
    """Score one round; without an id the latest of the player asked for, or of all."""
    baseline = shared.get_baseline()
    with shared.open_archive() as archive:
        if round_id is None:
            rounds = archive.rounds(shared.player)
            if rounds.is_empty():
                shared.one_player(archive)
            round_id = int(rounds["round_id"][-1])
        holes, putts = archive.holes(round_id=round_id), archive.putts(round_id=round_id)
    return score(putts, baseline, holes)


def own_stroke(shared: Shared) -> tuple[str, Stroke, str]:
    """A player's name, fitted spreads, and where they come from; the tour's without any round."""
    from sgputt.baseline.own import PRIOR_SHARE
    from sgputt.errors import ArchiveError
    from sgputt.stroke.fit import Prior, fit_stroke
    from sgputt.stroke.model import TOUR

    try:
        with shared.open_archive() as archive:
            player = shared.one_player(archive)
            putts = archive.putts(player)
    except (ArchiveError, TooFewError):
        if shared.player is not None:
            raise
        return "a tour player", TOUR, "no rounds stored: the tour's stroke"
    fit = fit_stroke(putts, prior=Prior(TOUR, PRIOR_SHARE))
    return player, fit.stroke, f"your stroke, from {fit.putts} putts"


def _span(holes: pl.DataFrame) -> str:
    years = sorted(set(holes["date"].dt.year().to_list()))
    return str(years[0]) if len(years) == 1 else f"{years[0]}-{years[-1]}"

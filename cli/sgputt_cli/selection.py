"""Which stored rounds a command is about."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.errors import TooFewError
from sgputt.season.scored import Scored, score
from sgputt.stroke.model import Stroke
from sgputt_cli.narrowing import Which
from sgputt_cli.shared import Shared


@dataclass(frozen=True)
class Selection:
    """A player's rounds, scored; ``season`` says which."""

    player: str
    season: str
    scored: Scored


@dataclass(frozen=True)
class Stored:
    """A player's rounds as they are stored."""

    player: str
    holes: pl.DataFrame
    putts: pl.DataFrame

    def of_year(self, year: int) -> Stored:
        """Rounds of one year."""
        years = sorted(set(self.holes["date"].dt.year().to_list()))
        hint = f"There are rounds in: {', '.join(map(str, years))}."
        return self.where(pl.col("date").dt.year() == year, f"in {year}", hint)

    def narrowed(self, which: Which) -> Stored:
        """Rounds that the options ask for."""
        stored = self
        if which.since is not None:
            stored = stored.where(pl.col("date") >= which.since, f"from {which.since} on")
        if which.until is not None:
            stored = stored.where(pl.col("date") <= which.until, f"up to {which.until}")
        return stored if which.last is None else stored._last(which.last)

    def where(self, condition: pl.Expr, which: str, hint: str = "") -> Stored:
        """Rounds that fulfil a condition; none is an error that says ``which`` were wanted."""
        holes = self.holes.filter(condition)
        if holes.is_empty():
            hint = hint or f"There are rounds of: {_days(self.holes)}."
            raise TooFewError(f"{self.player} has no round {which}.", hint)
        return Stored(self.player, holes, self.putts.filter(condition))

    def _last(self, count: int) -> Stored:
        keys = ["date", "round"]
        rounds = self.holes.select(keys).unique().sort(keys).tail(count)
        tables = (
            table.join(rounds, on=keys, how="semi", maintain_order="left")
            for table in (self.holes, self.putts)
        )
        return Stored(self.player, *tables)

    def score(self, baseline: Baseline) -> Scored:
        """Score them."""
        return score(self.putts, baseline, self.holes)


def stored_rounds(shared: Shared) -> Stored:
    """All rounds of the player asked for."""
    with shared.open_archive() as archive:
        player = shared.one_player(archive)
        return Stored(player, archive.holes(player), archive.putts(player))


def select(shared: Shared, year: int | None = None, which: Which | None = None) -> Selection:
    """Score the rounds of one player, of one year or all, narrowed by the options."""
    baseline = shared.get_baseline()
    which = which or Which()
    stored = stored_rounds(shared)
    if year is not None:
        stored = stored.of_year(year)
    stored = stored.narrowed(which)
    season = _span(stored.holes) if which.everything else _days(stored.holes)
    return Selection(stored.player, season, stored.score(baseline))


def select_squad(shared: Shared, which: Which) -> tuple[dict[str, Scored], list[str]]:
    """Score every player's rounds, and name those who have none of the rounds asked for."""
    baseline = shared.get_baseline()
    players: dict[str, Scored] = {}
    absent: list[str] = []
    with shared.open_archive() as archive:
        names = archive.players()
        for name in names:
            stored = Stored(name, archive.holes(name), archive.putts(name))
            try:
                players[name] = stored.narrowed(which).score(baseline)
            except TooFewError:
                absent.append(name)
    if names and not players:
        raise TooFewError("No player has a round between those days.", "See them: sgputt rounds")
    return players, absent


def select_round(shared: Shared, round_id: int | None) -> Scored:
    """Score one round; without an id the latest of the player asked for or set."""
    baseline = shared.get_baseline()
    with shared.open_archive() as archive:
        if round_id is None:
            whose = shared.asked_player(archive) or archive.settings().player
            rounds = archive.rounds(whose)
            if rounds.is_empty():
                rounds = archive.rounds(shared.one_player(archive))
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


def _days(holes: pl.DataFrame) -> str:
    days = sorted(set(holes["date"].to_list()))
    return str(days[0]) if len(days) == 1 else f"{days[0]} to {days[-1]}"

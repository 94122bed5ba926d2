"""A player's rounds as they were played, narrowed to some of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.errors import TooFewError
from sgputt.season.scored import Scored, score


@dataclass(frozen=True)
class PlayedRounds:
    """Rounds of one player, or of several.

    Attributes
    ----------
    player : str
        Whose rounds they are; empty for several players.
    holes, putts : polars.DataFrame
        The holes and the putts table of these rounds, such as an archive gives them.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> putts = demo_season()
    >>> holes = sgputt.score(putts, sgputt.get_baseline()).holes
    >>> rounds = sgputt.PlayedRounds("Mara Lindqvist", holes, putts)
    >>> rounds.filtered(last=5).holes["date"].n_unique()
    5
    """

    player: str
    holes: pl.DataFrame
    putts: pl.DataFrame

    def filtered(
        self,
        year: int | None = None,
        since: date | None = None,
        until: date | None = None,
        last: int | None = None,
    ) -> PlayedRounds:
        """The rounds of a year, between two days (both included), and of these the last ones.

        Raises
        ------
        TooFewError
            There is no such round.
        """
        rounds = self
        if year is not None:
            years = sorted(set(self.holes["date"].dt.year().to_list()))
            hint = f"There are rounds in: {', '.join(map(str, years))}."
            rounds = rounds.where(pl.col("date").dt.year() == year, f"in {year}", hint)
        if since is not None:
            rounds = rounds.where(pl.col("date") >= since, f"from {since} on")
        if until is not None:
            rounds = rounds.where(pl.col("date") <= until, f"up to {until}")
        if last is None:
            return rounds
        keys = ["player", "date", "round"]
        kept = rounds.holes.select(keys).unique().sort("date", "round", "player").tail(last)
        return PlayedRounds(
            self.player,
            rounds.holes.join(kept, on=keys, how="semi", maintain_order="left"),
            rounds.putts.join(kept, on=keys, how="semi", maintain_order="left"),
        )

    def where(self, condition: pl.Expr, which: str, hint: str = "") -> PlayedRounds:
        """Rounds that fulfil a condition on the columns of the holes table.

        Parameters
        ----------
        condition : polars.Expr
        which : str
            Which rounds these are, in words, for the error.
        hint : str
            What to do where there is none; the days there are rounds of, unless given.

        Raises
        ------
        TooFewError
            There is no such round.
        """
        holes = self.holes.filter(condition)
        if holes.is_empty():
            hint = hint or f"There are rounds of: {days_of(self.holes)}."
            raise TooFewError(f"{self.player or 'Nobody'} has no round {which}.", hint)
        return PlayedRounds(self.player, holes, self.putts.filter(condition))

    def score(self, baseline: Baseline) -> Scored:
        """Score these rounds against a baseline."""
        return score(self.putts, baseline, self.holes)


def years_of(table: pl.DataFrame) -> str:
    """The years of a table's dates: ``2026``, or ``2024-2026``."""
    first, last = table["date"].min(), table["date"].max()
    assert isinstance(first, date)
    assert isinstance(last, date)
    return str(first.year) if first.year == last.year else f"{first.year}-{last.year}"


def days_of(table: pl.DataFrame) -> str:
    """The days of a table's dates: ``2026-05-03``, or ``2026-05-03 to 2026-06-01``."""
    first, last = table["date"].min(), table["date"].max()
    return str(first) if first == last else f"{first!s} to {last!s}"

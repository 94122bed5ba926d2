"""Two sets of rounds compared: two periods, two players, before and after a date."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import polars as pl

from sgputt.analysis.shown import Shown
from sgputt.baseline.curve import Baseline
from sgputt.inference.cells import COMPONENTS, FEWEST_PUTTS, SURE, RoundMatrix, chance_variance
from sgputt.inference.intervals import (
    LEVEL,
    MOST_ROUNDS,
    ROUNDS_FOR_AN_INTERVAL,
    Difference,
    Sample,
    difference,
    known_or_null,
    rounds_to_tell,
)
from sgputt.physics.roll import Array
from sgputt.putts.bands import LABELS
from sgputt.putts.table import SLOPES
from sgputt.season.scored import Scored

_UNSPLIT = "not_split"
SCHEMA: dict[str, pl.DataType] = {
    "label": pl.String(),
    "putts_first": pl.Int64(),
    "putts_second": pl.Int64(),
    "first": pl.Float64(),
    "second": pl.Float64(),
    "difference": pl.Float64(),
    "low": pl.Float64(),
    "high": pl.Float64(),
    "chance_second_better": pl.Float64(),
    "told": pl.Boolean(),
}


@dataclass(frozen=True)
class Side:
    """One of the two sets; ``per_round`` is its strokes gained a round of 18 holes."""

    name: str
    rounds: int
    holes: int
    putts: int
    per_round: float


@dataclass(frozen=True)
class Comparison(Shown):
    """Second less first, in strokes gained a round of 18 holes.

    Attributes
    ----------
    first, second : Side
    against : Baseline
        The players both are compared with.
    difference, low, high : float
        ``low, high`` are None where either side has fewer than two rounds.
    chance_second_better : float or None
        Probability that the second truly gains more.
    told : bool
        Whether the difference can be told from luck: the interval leaves out zero and the
        chance is 19 in 20 one way or the other. Of two sides that do not differ, one pair in ten
        is wrongly said to differ.
    more_rounds : int or None
        More rounds (of both, or of the second where ``both`` is false) after which a difference
        as large would be told; None where it is told, or a thousand would not do.
    both : bool
        Whether both sides go on; else the first is past.
    components, bands : polars.DataFrame
        Columns of :data:`SCHEMA`, ``label`` being holing, leave and (where it occurs) not split,
        or a distance band with a putt. Each adds up to the whole. ``told`` asks for ten putts of
        each side and allows for looking at all rows of the table (Holm 1979, *Scand. J. Statist.*
        6, 65-70; from memory), the interval does not.
    level : float
        Coverage of the intervals.
    """

    first: Side
    second: Side
    against: Baseline
    difference: float
    low: float | None
    high: float | None
    chance_second_better: float | None
    told: bool
    more_rounds: int | None
    both: bool
    components: pl.DataFrame
    bands: pl.DataFrame
    level: float = LEVEL

    def as_dict(self, who: str = "") -> dict[str, Any]:
        """The JSON of a comparison, which scripts may rely on; ``who`` heads it."""
        return {
            "who": who,
            "baseline": self.against.name,
            "baseline_approximate": self.against.approximate,
            "first": asdict(self.first),
            "second": asdict(self.second),
            "difference": {
                "value": self.difference,
                "low": self.low,
                "high": self.high,
                "level": self.level,
            },
            "chance_second_better": self.chance_second_better,
            "told": self.told,
            "more_rounds": self.more_rounds,
            "words": self.words,
            "components": self.components.rename({"label": "component"}).to_dicts(),
            "distances": self.bands.rename({"label": "distance"}).to_dicts(),
        }

    @property
    def words(self) -> str:
        """Whether the difference can be told from luck, and what it would take."""
        if self.told:
            better = self.second.name if self.difference > 0 else self.first.name
            return f"More than luck explains. Better: {better}."
        if self.low is None:
            few = [
                side.name
                for side in (self.first, self.second)
                if side.rounds < ROUNDS_FOR_AN_INTERVAL
            ]
            return f"Cannot be told from luck: one round only ({', '.join(few)})."
        if self.more_rounds is None:
            return f"Cannot be told from luck: {self._too_small}."
        rounds = "round" if self.more_rounds == 1 else "rounds"
        whose = "of each" if self.both else f"({self.second.name})"
        return (
            f"Cannot be told from luck; about {self.more_rounds} more {rounds} {whose} would"
            " tell, if the difference stays as large."
        )

    @property
    def _too_small(self) -> str:
        if self.both:
            return f"a difference this small would take over {MOST_ROUNDS} more rounds of each"
        few = f"{self.first.rounds} rounds ({self.first.name})"
        return f"the difference is too small for {few}, however many follow"


def compare(
    first: Scored,
    second: Scored,
    names: tuple[str, str] = ("first", "second"),
    both: bool = True,
    level: float = LEVEL,
) -> Comparison:
    """Compare two sets of rounds.

    Whole rounds of both are resampled (:func:`sgputt.inference.intervals.difference`). Strokes
    gained allows for the lengths of the putts, not for other greens or weather. A band looked
    at because it was the worst tends to come back by itself.

    Parameters
    ----------
    first, second : Scored
        Scored against the same baseline.
    names : tuple of str
        What the two are called.
    both : bool
        Whether both go on, so that more rounds of both can be had.
    level : float
        Coverage aimed at by the intervals.

    Raises
    ------
    ValueError
        The two are scored against different baselines.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> scored = sgputt.score(demo_season(), sgputt.get_baseline())
    >>> same = sgputt.compare(scored, scored)
    >>> same.difference, same.told
    (0.0, False)
    """
    if first.baseline.name != second.baseline.name:
        raise ValueError(f"baselines: {first.baseline.name}, {second.baseline.name}; one for both")
    sides = (_side(names[0], first), _side(names[1], second))
    whole = difference(_whole(first.matrix), _whole(second.matrix), level)
    low, high, chance = (
        known_or_null(each[0]) for each in (whole.low, whole.high, whole.chance_better)
    )
    told = bool(_told(whole)[0])
    rounds = (sides[0].rounds, sides[1].rounds)
    return Comparison(
        first=sides[0],
        second=sides[1],
        against=first.baseline,
        difference=float(whole.value[0]),
        low=low,
        high=high,
        chance_second_better=chance,
        told=told,
        more_rounds=None if told else rounds_to_tell(whole, rounds, both, level),
        both=both,
        components=_components(first.matrix, second.matrix, level),
        bands=_bands(first.matrix, second.matrix, level),
        level=level,
    )


def _side(name: str, scored: Scored) -> Side:
    rounds, matrix = scored.rounds, scored.matrix
    putts = int(rounds["putts"].sum())
    per_round = float(_whole(matrix).value[0])
    return Side(name, rounds.height, int(matrix.holes.sum()), putts, per_round)


def _whole(matrix: RoundMatrix) -> Sample:
    gained = matrix.sums["strokes_gained"].sum(axis=(1, 2))[:, None]
    return Sample(gained, matrix.holes, np.array([_chance(matrix).sum()]))


def _bands(first: RoundMatrix, second: RoundMatrix, level: float) -> pl.DataFrame:
    putts = [matrix.total("putts").sum(axis=1) for matrix in (first, second)]
    here = np.flatnonzero(putts[0] + putts[1])
    samples = [
        Sample(
            matrix.sums["strokes_gained"].sum(axis=2)[:, here],
            matrix.holes,
            _chance(matrix).sum(axis=1)[here],
        )
        for matrix in (first, second)
    ]
    labels = [LABELS[at] for at in here]
    return _table(labels, samples, [each[here] for each in putts], level)


def _components(first: RoundMatrix, second: RoundMatrix, level: float) -> pl.DataFrame:
    names = [*COMPONENTS]
    if any(matrix.sums[_UNSPLIT].any() for matrix in (first, second)):
        names.append(_UNSPLIT)
    samples = [
        Sample(
            np.stack([matrix.sums[name].sum(axis=(1, 2)) for name in names], axis=1),
            matrix.holes,
            # What could not be split has no chance of its own to be narrower than.
            np.array([_chance(matrix, (name,)).sum() for name in names]),
        )
        for matrix in (first, second)
    ]
    putts = [np.array([_count(matrix, name) for name in names]) for matrix in (first, second)]
    return _table([name.replace("_", " ") for name in names], samples, putts, level)


def _chance(matrix: RoundMatrix, parts: Sequence[str] = COMPONENTS) -> Array:
    """Variance a round that chance alone would show, shape (bands, slopes)."""
    known = [chance_variance(matrix, each) for each in parts if each in COMPONENTS]
    return np.asarray(sum(known, np.zeros((len(LABELS), len(SLOPES)))), dtype=np.float64)


def _count(matrix: RoundMatrix, part: str) -> float:
    """Putts that a part is known of."""
    misses, known = matrix.total("misses").sum(), matrix.total("leaves_known").sum()
    counts = {"holing": matrix.total("putts").sum(), "leave": known, _UNSPLIT: misses - known}
    return float(counts[part])


def _table(
    labels: list[str], samples: list[Sample], putts: list[Array], level: float
) -> pl.DataFrame:
    found = difference(samples[0], samples[1], level)
    enough = np.minimum(putts[0], putts[1]) >= FEWEST_PUTTS
    return pl.DataFrame(
        {
            "label": labels,
            "putts_first": putts[0].astype(np.int64),
            "putts_second": putts[1].astype(np.int64),
            "first": samples[0].value,
            "second": samples[1].value,
            "difference": found.value,
            "low": found.low,
            "high": found.high,
            "chance_second_better": found.chance_better,
            "told": _told(found) & enough,
        },
        schema=SCHEMA,
    ).with_columns(pl.col("low", "high", "chance_second_better").fill_nan(None))


def _told(found: Difference) -> np.typing.NDArray[np.bool_]:
    """Differences told from luck among those looked at together (Holm 1979)."""
    doubt = np.fmin(found.chance_better, 1 - found.chance_better)
    doubt = np.where(np.isnan(doubt), 1.0, doubt)
    order = np.argsort(doubt, kind="stable")
    allowed = (1 - SURE) / np.arange(len(doubt), 0, -1)
    passed = np.logical_and.accumulate(doubt[order] <= allowed)
    told = np.zeros(len(doubt), dtype=np.bool_)
    told[order] = passed
    # What is said may not contradict the interval that is shown.
    return told & ((found.low > 0) | (found.high < 0))

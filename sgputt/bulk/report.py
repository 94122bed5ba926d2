"""What many players and seasons come to: parts merged, figures by player, season and squad."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.baseline.curve import Baseline
from sgputt.bulk.check import PROBLEMS_SCHEMA
from sgputt.bulk.putts_files import SQUAD, Source, Spelling
from sgputt.bulk.reduce import PARTS, ROUND_COUNTS, Part, Task, reduce_file, season
from sgputt.gained.runs import first_rows, in_order, run_of, sums_by
from sgputt.gained.sums import merge_sums
from sgputt.inference.intervals import HOLES_IN_A_ROUND, LEVEL, t_quantile
from sgputt.inference.shrinkage import shrink_among
from sgputt.physics.roll import Array
from sgputt.putts.table import ROUND_KEY

# Strokes a round by which players of a squad may well differ. A judgement, not published.
PLAYERS_DIFFER = 1.0
_CHANCE = ("holing_variance", "leave_variance")
_BAND_SUMS = ("putts", "made", "expected_made", "strokes_gained", "holing", "leave", "not_split")


@dataclass(frozen=True)
class Bulk:
    """Figures of many players; strokes are for a round of 18 holes, positive is good.

    Attributes
    ----------
    against : Baseline
    players, player_seasons, squads, squad_seasons : polars.DataFrame
        From :func:`figures_by`, each sorted by its keys: ``squad``, ``player`` and ``season``;
        those of players with ``shrunk_per_round, shrunk_low, shrunk_high`` from :func:`shrunk`.
    distances : polars.DataFrame
        By ``squad`` and ``band``: ``putts, made, expected_made, per_round, low, high, holing,
        leave, not_split``; the interval is what the baseline itself would show by chance.
    problems : polars.DataFrame
        Columns of :data:`sgputt.bulk.check.PROBLEMS_SCHEMA`.
    found : int
        Problems, also those not listed.
    read, kept : int
        Putts read, and those in the figures; the others lie in rounds with a problem.
    """

    against: Baseline
    players: pl.DataFrame
    player_seasons: pl.DataFrame
    squads: pl.DataFrame
    squad_seasons: pl.DataFrame
    distances: pl.DataFrame
    problems: pl.DataFrame
    found: int
    read: int
    kept: int


def merge(sources: Sequence[Source], parts: Sequence[Part], task: Task) -> Bulk:
    """Put the parts of files together; a round counts once, from the first file that has it.

    Parameters
    ----------
    sources, parts : sequence
        In the same order.
    task : Task
        What the parts were made with.
    """
    parts = _each_round_once(sources, parts, task)
    rounds = pl.concat([each.rounds for each in parts]).with_columns(season())
    cells = merge_sums(*(each.cells for each in parts))

    def by(*keys: str) -> pl.DataFrame:
        return figures_by(rounds, cells, [SQUAD, *keys])

    return Bulk(
        against=task.baseline,
        players=shrunk(by("player"), [SQUAD]),
        player_seasons=shrunk(by("player", "season"), [SQUAD, "season"]),
        squads=by().drop("variance"),
        squad_seasons=by("season").drop("variance"),
        distances=_by_distance(rounds, cells),
        problems=pl.concat([each.problems for each in parts]),
        found=sum(each.found for each in parts),
        read=sum(each.read for each in parts),
        kept=sum(each.kept for each in parts),
    )


def figures_by(
    rounds: pl.DataFrame, cells: pl.DataFrame, keys: Sequence[str], level: float = LEVEL
) -> pl.DataFrame:
    """Figures of every group of rounds.

    The interval is Student's t about the ratio of strokes to holes, its variance taken from the
    rounds' residuals (Cochran 1977, *Sampling Techniques*, 3rd ed., section 6.4; from memory),
    and never less than the baseline's own chance from the same places. For one player it comes
    near the resampling interval of :func:`sgputt.inference.intervals.per_round`, of which
    thousands of players would take too long.

    Parameters
    ----------
    rounds : polars.DataFrame
        Rounds of :class:`sgputt.bulk.reduce.Part` with ``season``.
    cells : polars.DataFrame
        Cells of the same rounds.
    keys : sequence of str
        What tells the groups apart.
    level : float
        Coverage aimed at.

    Returns
    -------
    polars.DataFrame
        The keys, ``rounds, holes, putts, putts_per_round, one_putts, three_putts, per_round``
        (strokes gained), ``low, high`` (null from one round), ``holing, leave, not_split,
        conceded``; all strokes for 18 holes; and ``variance`` of ``per_round``.
    """
    rounds = in_order(rounds, keys)
    run = run_of(rounds, keys)
    firsts = first_rows(run)
    groups = rounds.select(keys)[firsts]
    sums = sums_by(run, len(firsts), rounds.select(*ROUND_COUNTS, *PARTS))
    per_18, count = HOLES_IN_A_ROUND / sums["holes"], np.bincount(run, minlength=len(firsts))
    value = sums["strokes_gained"] * per_18
    mean = (value / HOLES_IN_A_ROUND)[run] * rounds["holes"].to_numpy()
    residual = pl.DataFrame({"spread": (rounds["strokes_gained"].to_numpy() - mean) ** 2})
    others = np.maximum(count - 1, 1)
    variance = sums_by(run, len(firsts), residual)["spread"] * count / others
    variance = np.maximum(variance, _chance(cells, groups)) * per_18**2
    reach = t_quantile((1 + level) / 2, others) * np.sqrt(variance)
    known = pl.lit(pl.Series(count > 1))
    return groups.with_columns(
        pl.Series("variance", variance),
        pl.Series("rounds", count),
        *(pl.Series(name, sums[name]).cast(pl.Int64) for name in ("holes", "putts")),
        pl.Series("putts_per_round", sums["putts"] * per_18),
        *(pl.Series(name, sums[name]).cast(pl.Int64) for name in ("one_putts", "three_putts")),
        pl.Series("per_round", value),
        pl.when(known).then(pl.Series(value - reach)).alias("low"),
        pl.when(known).then(pl.Series(value + reach)).alias("high"),
        *(pl.Series(name, sums[name] * per_18) for name in PARTS[1:]),
    )


def shrunk(table: pl.DataFrame, keys: Sequence[str], level: float = LEVEL) -> pl.DataFrame:
    """Add strokes gained shrunk toward the mean of the group, by as much as luck explains.

    See :func:`sgputt.inference.shrinkage.shrink_among`. Without that the first of many would be the
    luckiest.

    Parameters
    ----------
    table : polars.DataFrame
        From :func:`figures_by`.
    keys : sequence of str
        The groups, such as squads; their order is kept.

    Returns
    -------
    polars.DataFrame
        Without ``variance``; with ``shrunk_per_round, shrunk_low, shrunk_high``, null where no
        putt could be counted.
    """
    value, variance = (table[name].to_numpy() for name in ("per_round", "variance"))
    centre, spread = np.full(table.height, np.nan), np.full(table.height, np.nan)
    for at in table.select(*keys, pl.int_range(pl.len()).alias("at")).partition_by(keys):
        rows = at["at"].to_numpy()
        rows = rows[variance[rows] > 0]
        if len(rows):
            centre[rows], spread[rows] = shrink_among(value[rows], variance[rows], PLAYERS_DIFFER)
    reach = float(ndtri((1 + level) / 2)) * np.sqrt(spread)
    return table.drop("variance").with_columns(
        pl.Series("shrunk_per_round", centre).fill_nan(None),
        pl.Series("shrunk_low", centre - reach).fill_nan(None),
        pl.Series("shrunk_high", centre + reach).fill_nan(None),
    )


def _chance(cells: pl.DataFrame, groups: pl.DataFrame) -> Array:
    """Variance of the strokes of each group that the baseline itself would show."""
    keys = groups.columns
    summed = _summed(cells, keys, _CHANCE)
    placed = groups.join(summed, on=keys, how="left", maintain_order="left")
    total = placed.select(pl.sum_horizontal(pl.col(_CHANCE).fill_null(0.0))).to_series()
    return np.asarray(total.to_numpy(), dtype=np.float64)


def _summed(table: pl.DataFrame, keys: Sequence[str], names: Sequence[str]) -> pl.DataFrame:
    table = in_order(table, keys)
    run = run_of(table, keys)
    firsts = first_rows(run)
    sums = sums_by(run, len(firsts), table.select(names))
    return table.select(keys)[firsts].with_columns(pl.Series(k, v) for k, v in sums.items())


def _by_distance(rounds: pl.DataFrame, cells: pl.DataFrame) -> pl.DataFrame:
    holes = _summed(rounds, [SQUAD], ["holes"])
    table = _summed(cells, [SQUAD, "band"], [*_BAND_SUMS, *_CHANCE])
    per_18 = HOLES_IN_A_ROUND / pl.col("holes")
    value = pl.col("strokes_gained") * per_18
    reach = float(ndtri((1 + LEVEL) / 2)) * pl.sum_horizontal(_CHANCE).sqrt() * per_18
    return table.join(holes, on=SQUAD, maintain_order="left").select(
        SQUAD,
        "band",
        pl.col("putts", "made").cast(pl.Int64),
        "expected_made",
        value.alias("per_round"),
        (value - reach).alias("low"),
        (value + reach).alias("high"),
        *(pl.col(name) * per_18 for name in ("holing", "leave", "not_split")),
    )


def _spelled_one_way(parts: Sequence[Part], known: Sequence[Part] = ()) -> list[Part]:
    """Parts in which names that are one are spelled as in the first file that has them."""
    spelling = Spelling()
    for part in known:
        spelling.one_way(part.cells)
    return [
        replace(part, rounds=spelling.one_way(part.rounds), cells=spelling.one_way(part.cells))
        for part in parts
    ]


def _each_round_once(sources: Sequence[Source], parts: Sequence[Part], task: Task) -> list[Part]:
    """Parts without the rounds that an earlier file has, names that are one spelled one way."""
    once = _spelled_one_way(parts)
    found = [
        part.rounds.select(
            *ROUND_KEY, pl.lit(at, pl.Int64).alias("file"), pl.int_range(pl.len()).alias("place")
        )
        for at, part in enumerate(once)
    ]
    keys = pl.concat(found)
    twice = keys.filter(pl.struct(ROUND_KEY).is_duplicated()).sort(*ROUND_KEY, "file")
    first = pl.col("file").first().over(ROUND_KEY)
    later = twice.with_columns(first.alias("first")).filter(pl.col("file") > pl.col("first"))
    for at in later["file"].unique().sort():
        again = later.filter(pl.col("file") == at)
        # As the file itself spells them.
        without = parts[at].rounds[again["place"]].select(ROUND_KEY)
        (part,) = _spelled_one_way([reduce_file(sources[at], task, without)], once)
        said = [
            _twice(sources, again.filter(first=each)) for each in again["first"].unique().sort()
        ]
        told = pl.DataFrame(said, schema=PROBLEMS_SCHEMA)
        problems = pl.concat([part.problems, told])
        once[at] = replace(part, problems=problems, found=part.found + len(said))
    return once


def _twice(sources: Sequence[Source], rounds: pl.DataFrame) -> dict[str, str]:
    at, first = rounds.select("file", "first").row(0)
    player, day, number = rounds.select(ROUND_KEY).row(0)
    count = "1 round" if rounds.height == 1 else f"{rounds.height} rounds"
    again = f"{count} of {sources[first].name} again, such as {player}, {day}, round {number}"
    return {
        "file": sources[at].name,
        "value": again,
        "what": again,
        "allowed": "each round in one file",
        "hint": "Counted once. Take the round out of one of the two files.",
    }

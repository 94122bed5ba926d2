"""What many players and seasons come to: parts merged, figures by player, season and squad."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.baseline.curve import Baseline
from sgputt.bulk.kept import KeptPart
from sgputt.bulk.putts_files import PROBLEMS_SCHEMA, SQUAD, Source, Spelling
from sgputt.bulk.reduce import (
    BUCKETS,
    PARTS,
    PLAYER_KEY,
    ROUND_COUNTS,
    Part,
    Task,
    reduce_file,
    season,
)
from sgputt.gained.runs import first_rows, in_order, run_of, sums_by
from sgputt.gained.sums import merge_sums
from sgputt.inference.intervals import HOLES_IN_A_ROUND, LEVEL, t_quantile
from sgputt.inference.shrinkage import shrink_among
from sgputt.physics.roll import Array
from sgputt.putts.table import ROUND_KEY

# Strokes a round by which players of a squad may well differ. A judgement, not published.
PLAYERS_DIFFER = 1.0
# Rounds in memory together while parts are merged: about 200 bytes each, some times over.
ROUNDS_AT_ONCE = 500_000
AnyPart = Part | KeptPart
_GROUPS: tuple[tuple[str, ...], ...] = (("player",), ("player", "season"))
_SQUARES = ("strokes_squared", "strokes_by_holes", "holes_squared")
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
        Columns of :data:`sgputt.bulk.putts_files.PROBLEMS_SCHEMA`.
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


def merge(sources: Sequence[Source], parts: Sequence[AnyPart], task: Task) -> Bulk:
    """Put the parts of files together; a round counts once, from the first file that has it.

    Parts are read some players at a time: of all rounds no more than about
    :data:`ROUNDS_AT_ONCE` are in memory together.

    Parameters
    ----------
    sources, parts : sequence
        In the same order.
    task : Task
        What the parts were made with.
    """
    passes = _passes(parts)
    whole = _each_round_once(sources, parts, task, passes)
    found: dict[tuple[str, ...], list[pl.DataFrame]] = {keys: [] for keys in _GROUPS}
    sums: dict[tuple[str, ...], list[pl.DataFrame]] = {(): [], ("season",): []}
    bands: list[pl.DataFrame] = []
    spelling = _squads_of(whole)
    for buckets in passes:
        rounds, cells = _of_players(whole, buckets, spelling)
        for keys in _GROUPS:
            by = [SQUAD, *keys]
            found[keys].append(figures_of(group_sums(rounds, by), cells))
        for keys, each in sums.items():
            each.append(group_sums(rounds, [SQUAD, *keys]))
        bands.append(_summed(cells, [SQUAD, "season", "band"], [*_BAND_SUMS, *_CHANCE]))
    players, seasons = (in_order(pl.concat(each), [SQUAD, *k]) for k, each in found.items())
    squads, squad_seasons = (_added(pl.concat(each), [SQUAD, *k]) for k, each in sums.items())
    cells = pl.concat(bands)
    return Bulk(
        against=task.baseline,
        players=shrunk(players, [SQUAD]),
        player_seasons=shrunk(seasons, [SQUAD, "season"]),
        squads=figures_of(squads, cells).drop("variance"),
        squad_seasons=figures_of(squad_seasons, cells).drop("variance"),
        distances=_by_distance(squads, cells),
        problems=pl.concat([each.problems for each in whole]),
        found=sum(each.found for each in whole),
        read=sum(each.read for each in whole),
        kept=sum(each.kept for each in whole),
    )


def _passes(parts: Sequence[AnyPart]) -> list[range]:
    """Ranges of buckets of players, each of about as many rounds as may be in memory."""
    heights = np.sum([each.heights for each in parts], axis=0)
    passes, start, held = [], 0, 0
    for bucket in range(BUCKETS):
        if held and held + heights[bucket] > ROUNDS_AT_ONCE:
            passes.append(range(start, bucket))
            start, held = bucket, 0
        held += int(heights[bucket])
    return [*passes, range(start, BUCKETS)]


def _squads_of(parts: Sequence[AnyPart]) -> Spelling:
    """The spelling of squads, as in the first file that has them."""
    spelling = Spelling()
    for part in parts:
        spelling.of(SQUAD, pl.Series(part.squads, dtype=pl.String))
    return spelling


def _of_players(
    parts: Sequence[AnyPart], buckets: range, spelling: Spelling
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Rounds with their season, and cells, of some players from all parts."""
    rounds = pl.concat([spelling.one_way(part.rounds_of(buckets)) for part in parts])
    cells = [spelling.one_way(part.cells_of(buckets)) for part in parts]
    # Sorted once: the groups of most sums then stand together.
    return in_order(rounds.with_columns(season()), PLAYER_KEY), merge_sums(*cells)


def group_sums(rounds: pl.DataFrame, keys: Sequence[str]) -> pl.DataFrame:
    """Sums of every group of rounds, from which its figures follow; such tables may be added.

    Parameters
    ----------
    rounds : polars.DataFrame
        Rounds of :class:`sgputt.bulk.reduce.Part` with ``season``.
    keys : sequence of str
        What tells the groups apart.
    """
    gained, holes = pl.col("strokes_gained"), pl.col("holes").cast(pl.Float64)
    squares = (gained**2, gained * holes, holes**2)
    table = rounds.with_columns(
        pl.lit(1.0).alias("rounds"),
        *(value.alias(name) for name, value in zip(_SQUARES, squares, strict=True)),
    )
    return _summed(table, keys, ["rounds", *ROUND_COUNTS, *PARTS, *_SQUARES])


def _added(sums: pl.DataFrame, keys: Sequence[str]) -> pl.DataFrame:
    return _summed(sums, keys, [name for name in sums.columns if name not in keys])


def figures_by(
    rounds: pl.DataFrame, cells: pl.DataFrame, keys: Sequence[str], level: float = LEVEL
) -> pl.DataFrame:
    """Figures of every group of rounds, as :func:`figures_of` gives them.

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
    """
    return figures_of(group_sums(rounds, keys), cells, level)


def figures_of(sums: pl.DataFrame, cells: pl.DataFrame, level: float = LEVEL) -> pl.DataFrame:
    """Figures of every group of rounds from its sums.

    The interval is Student's t about the ratio of strokes to holes, its variance taken from the
    rounds' residuals (Cochran 1977, *Sampling Techniques*, 3rd ed., section 6.4; from memory),
    and never less than the baseline's own chance from the same places. For one player it comes
    near the resampling interval of :func:`sgputt.inference.intervals.per_round`, of which
    thousands of players would take too long.

    Parameters
    ----------
    sums : polars.DataFrame
        From :func:`group_sums`.
    cells : polars.DataFrame
        Cells of the same rounds.
    level : float
        Coverage aimed at.

    Returns
    -------
    polars.DataFrame
        The keys, ``rounds, holes, putts, putts_per_round, one_putts, three_putts, per_round``
        (strokes gained), ``low, high`` (null from one round), ``holing, leave, not_split,
        conceded``; all strokes for 18 holes; and ``variance`` of ``per_round``.
    """
    numbers = ("rounds", *ROUND_COUNTS, *PARTS, *_SQUARES)
    groups = sums.drop(numbers)
    found = {name: sums[name].to_numpy() for name in numbers}
    per_18, count = HOLES_IN_A_ROUND / found["holes"], found["rounds"]
    mean = found["strokes_gained"] / found["holes"]
    of_strokes, of_both, of_holes = (found[name] for name in _SQUARES)
    # What is left of the squares about the mean of each hole; rounding may take it below none.
    residual = np.maximum(of_strokes - 2 * mean * of_both + mean**2 * of_holes, 0.0)
    others = np.maximum(count - 1, 1)
    variance = np.maximum(residual * count / others, _chance(cells, groups)) * per_18**2
    value = found["strokes_gained"] * per_18
    reach = t_quantile((1 + level) / 2, others) * np.sqrt(variance)
    known = pl.lit(pl.Series(count > 1))
    return groups.with_columns(
        pl.Series("variance", variance),
        *(pl.Series(name, found[name]).cast(pl.Int64) for name in ("rounds", "holes", "putts")),
        pl.Series("putts_per_round", found["putts"] * per_18),
        *(pl.Series(name, found[name]).cast(pl.Int64) for name in ("one_putts", "three_putts")),
        pl.Series("per_round", value),
        pl.when(known).then(pl.Series(value - reach)).alias("low"),
        pl.when(known).then(pl.Series(value + reach)).alias("high"),
        *(pl.Series(name, found[name] * per_18) for name in PARTS[1:]),
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
    sums = sums_by(run, len(firsts), table.select(names).cast(pl.Float64).to_numpy(order="c"))
    return table.select(keys)[firsts].hstack(pl.from_numpy(sums, list(names)))


def _by_distance(squads: pl.DataFrame, cells: pl.DataFrame) -> pl.DataFrame:
    holes = squads.select(SQUAD, "holes")
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


def _each_round_once(
    sources: Sequence[Source], parts: Sequence[AnyPart], task: Task, passes: Sequence[range]
) -> list[AnyPart]:
    """Parts without the rounds that an earlier file has."""
    without: dict[int, list[pl.DataFrame]] = {}
    told: dict[int, list[dict[str, str]]] = {}
    for buckets in passes:
        for at, again, own in _rounds_again(parts, buckets):
            without.setdefault(at, []).append(own)
            told.setdefault(at, []).extend(
                _twice(sources, again.filter(first=each)) for each in again["first"].unique().sort()
            )
    once = list(parts)
    for at, rounds in without.items():
        part = reduce_file(sources[at], task, pl.concat(rounds))
        problems = pl.concat([part.problems, pl.DataFrame(told[at], schema=PROBLEMS_SCHEMA)])
        once[at] = replace(part, problems=problems, found=part.found + len(told[at]))
    return once


def _rounds_again(
    parts: Sequence[AnyPart], buckets: range
) -> Iterator[tuple[int, pl.DataFrame, pl.DataFrame]]:
    """Files with rounds that an earlier one has: which, those rounds, and as the file says them."""
    spelling = Spelling()
    own = [part.rounds_of(buckets).select(ROUND_KEY) for part in parts]
    place = pl.int_range(pl.len()).alias("place")
    found = [
        spelling.one_way(rounds).select(*ROUND_KEY, pl.lit(at, pl.Int64).alias("file"), place)
        for at, rounds in enumerate(own)
    ]
    twice = pl.concat(found).filter(pl.struct(ROUND_KEY).is_duplicated()).sort(*ROUND_KEY, "file")
    first = pl.col("file").first().over(ROUND_KEY)
    later = twice.with_columns(first.alias("first")).filter(pl.col("file") > pl.col("first"))
    for at in later["file"].unique().sort():
        again = later.filter(pl.col("file") == at)
        yield at, again, own[at][again["place"]]


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

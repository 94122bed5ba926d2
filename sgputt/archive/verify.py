"""Whether rounds are as they were stored; those that are not are set right by their cards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import polars as pl

from sgputt.archive.rounds import (
    HOLE_COLUMNS,
    PUTT_COLUMNS,
    Card,
    Facts,
    Reread,
    Round,
    has_fingerprint,
)
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError
from sgputt.safe_text import name_key

_MOST_SAID = 20


@dataclass(frozen=True)
class Differing:
    """A round that is not as it was stored.

    Attributes
    ----------
    round_id : int
    what : tuple of str
        What differs, a value each; of many the first.
    corrected : bool
        Whether it was set right.
    """

    round_id: int
    what: tuple[str, ...]
    corrected: bool


@dataclass
class Verified:
    """What was found.

    Attributes
    ----------
    whole : int
        Rounds that are as they were stored.
    differing : list of Differing
    cards : list of str
        Scorecards that are not as they were imported.
    """

    whole: int = 0
    differing: list[Differing] = field(default_factory=list)
    cards: list[str] = field(default_factory=list)

    @property
    def all_is_well(self) -> bool:
        """Whether nothing is left that differs."""
        return not self.cards and all(each.corrected for each in self.differing)


def verify(archive: Archive, reread: Reread, correct: bool = True) -> Verified:
    """Hold every round to its fingerprint and every scorecard to its digest.

    Parameters
    ----------
    archive : Archive
    reread : callable
        Reads a scorecard in every way that it may have been read when it was imported.
    correct : bool
        Write what a scorecard says in place of what differs, where its reading has the round's own
        fingerprint.

    Raises
    ------
    ArchiveError
        The archive cannot be read, or cannot be written to where something is to be corrected.
    """
    found = Verified()
    spoilt = archive.spoilt_cards()
    found.cards = [f"{name}, of round {round_id}" for round_id, name in spoilt.items()]
    for round_id, digest in archive.fingerprints().items():
        (facts, key), stored = archive.facts(round_id), _stored(archive, round_id)
        if (
            facts is not None
            and stored is not None
            and has_fingerprint(stored, digest)
            and name_key(facts.player) == key
        ):
            found.whole += 1
            continue
        card = None if round_id in spoilt else Card(*archive.scorecard(round_id))
        found.differing.append(_look(archive, round_id, digest, stored, card, reread, correct))
    return found


def _stored(archive: Archive, round_id: int) -> Round | None:
    try:
        tables = archive.putts(round_id=round_id), archive.holes(round_id=round_id)
    except ArchiveError:
        return None
    return Round(*(table.drop("round_id") for table in tables))


def _look(
    archive: Archive,
    round_id: int,
    digest: str,
    stored: Round | None,
    card: Card | None,
    reread: Reread,
    correct: bool,
) -> Differing:
    facts, key = archive.facts(round_id)
    readings: list[Round] = []
    if card is not None:
        # The name may be what changed; the key is kept by itself.
        named = facts and (facts if name_key(facts.player) == key else facts._replace(player=key))
        readings = [one for one in reread(card, named) if one.facts.key[0] == key]
    for one in readings:
        # The fingerprint itself may be what changed.
        only_that = stored is not None and facts == one.facts and not any(_differences(stored, one))
        if has_fingerprint(one, digest) or only_that:
            what = [*_facts_differ(facts, one.facts), *_tables_differ(stored, one)]
            if correct:
                archive.set_right(round_id, one)
            return Differing(round_id, tuple(what[:_MOST_SAID]) or ("its fingerprint",), correct)
    what = ["something in it, and its scorecard does not tell what"]
    if stored is None:
        what = ["values in it cannot be read, and its scorecard does not tell them"]
    return Differing(round_id, tuple(what), corrected=False)


def _facts_differ(stored: Facts | None, right: Facts) -> Iterator[str]:
    if stored is None:
        yield "date, player or round cannot be read"
        return
    for name, was, now in zip(Facts._fields, right, stored, strict=True):
        if name != "player" and was != now:
            yield f"{name} is {now}, was {was}"
    if stored.player != right.player:
        yield f"player is {stored.player}, was {right.player}"


def _tables_differ(stored: Round | None, right: Round) -> list[str]:
    if stored is None:
        return ["holes or putts cannot be read"]
    return list(_differences(stored, right))


def _differences(stored: Round, right: Round) -> Iterator[str]:
    """Each value that differs, by hole and putt."""
    for now, was, keys, columns in (
        (stored.holes, right.holes, ["hole"], HOLE_COLUMNS),
        (stored.putts, right.putts, ["hole", "putt"], PUTT_COLUMNS),
    ):
        there, before = _by_key(now, keys, columns), _by_key(was, keys, columns)
        for key in sorted(before.keys() | there.keys()):
            where = ", ".join(f"{name} {part}" for name, part in zip(keys, key, strict=True))
            if key not in there or key not in before:
                yield f"{where} is {'there' if key in there else 'gone'}"
                continue
            for name in columns:
                if there[key][name] != before[key][name] and name not in ("source", "source_row"):
                    yield f"{where}: {name} is {there[key][name]}, was {before[key][name]}"


def _by_key(
    table: pl.DataFrame, keys: list[str], columns: tuple[str, ...]
) -> dict[tuple[int, ...], dict[str, object]]:
    names = [name for name in columns if name in table.columns]
    empty: dict[str, object] = dict.fromkeys(columns)
    return {
        tuple(row[name] for name in keys): {**empty, **row}
        for row in table.select(names).iter_rows(named=True)
    }

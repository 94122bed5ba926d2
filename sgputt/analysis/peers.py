"""What the rounds of each player of an archive say to the others, worked out once."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import polars as pl

from sgputt.analysis.rounds import PlayedRounds
from sgputt.analysis.season import analyse
from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.baseline.catalogue import get_baseline
from sgputt.digests import digest_of, program_digest
from sgputt.errors import SgputtError
from sgputt.files import half_written
from sgputt.practice.drills import Drill
from sgputt.practice.peers import PeerRecord, with_a_say


@dataclass(frozen=True)
class StoredRecords:
    """Records of the players of an archive, made when somebody calls; may be sent to a process.

    Attributes
    ----------
    archive : Path
    drills : tuple of Drill
        Drills that they may have practised.
    kept_in : Path or None
        Folder in which records are kept from one time to the next; None for nowhere.
    begin_after : str
        Player after whom the work begins: processes that do it side by side each begin somewhere
        else, and find kept what the others did.
    """

    archive: Path
    drills: tuple[Drill, ...]
    kept_in: Path | None = None
    begin_after: str = ""

    def __call__(self) -> dict[str, PeerRecord]:
        """Their records by name, from all rounds of each."""
        with Archive(self.archive, make=False) as opened:
            log = SessionLog(opened).table()
            rounds = opened.rounds()
            many = dict(rounds["player"].value_counts().iter_rows())
            names = with_a_say(many, set(log["player"]))
            digests = opened.fingerprints()
            start = sum(name <= self.begin_after for name in names)
            found: dict[str, PeerRecord] = {}
            for name in names[start:] + names[:start]:
                of = rounds.filter(pl.col("player") == name)["round_id"]
                sets = log.filter(pl.col("player") == name)
                mark = digest_of(self._common, [digests[n] for n in of], sets.rows())
                record = self._kept(name, mark)
                if record is None:
                    played = PlayedRounds(name, opened.holes(name), opened.putts(name))
                    record = analyse(
                        played.score(get_baseline("tour")), name, drills=self.drills, sessions=sets
                    ).record
                    self._keep(name, mark, record)
                found[name] = record
        return {name: found[name] for name in names}

    @cached_property
    def _common(self) -> str:
        return digest_of(program_digest(), [repr(drill) for drill in self.drills])

    def _place(self, name: str) -> Path | None:
        """Where a player's record is kept: one, so that a new one takes the place of the old."""
        if self.kept_in is None:
            return None
        return self.kept_in / f"{digest_of(self.archive.resolve(), name)[:32]}.json"

    def _kept(self, name: str, mark: str) -> PeerRecord | None:
        place = self._place(name)
        if place is None:
            return None
        try:
            kept = json.loads(place.read_text(encoding="utf-8"))
            return PeerRecord.from_dict(kept["record"]) if kept["of"] == mark else None
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def _keep(self, name: str, mark: str, record: PeerRecord) -> None:
        place = self._place(name)
        if place is not None:
            # What cannot be kept is worked out again next time.
            with suppress(OSError, SgputtError):
                place.parent.mkdir(parents=True, exist_ok=True)
                with half_written(place) as half:
                    kept = json.dumps({"of": mark, "record": record.as_dict()})
                    half.write_text(kept, encoding="utf-8")

"""What the rounds of each player of an archive say to the others, worked out once."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext, suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import polars as pl

from sgputt.analysis.rounds import PlayedRounds
from sgputt.analysis.season import analyse
from sgputt.archive.connection import DamagedError
from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.baseline.catalogue import get_baseline
from sgputt.digests import digest_of, program_digest
from sgputt.errors import SgputtError
from sgputt.files import half_written
from sgputt.practice.drills import Drill
from sgputt.practice.peers import PeerRecord, with_a_say

Watched = Callable[[int], AbstractContextManager[Callable[[], None]]]


def _unwatched(_many: int) -> AbstractContextManager[Callable[[], None]]:
    return nullcontext(lambda: None)


@dataclass(frozen=True)
class StoredRecords:
    """Records of the other players of an archive, made when somebody calls.

    May be sent to another process. Processes that call for several players side by side begin each
    with the next player of its own, and find kept what the others made.

    Attributes
    ----------
    archive : Path
    player : str
        Whose others they are.
    drills : tuple of Drill
        Drills that they may have practised.
    kept_in : Path or None
        Folder in which records are kept from one time to the next; None for nowhere.
    watched : callable, optional
        Is told how many records are to be made, and gives a context whose value is called after
        each.
    """

    archive: Path
    player: str
    drills: tuple[Drill, ...]
    kept_in: Path | None = None
    watched: Watched | None = None

    def __call__(self) -> dict[str, PeerRecord]:
        """Their records by name, from all rounds of each."""
        with Archive(self.archive, make=False) as opened:
            rounds = opened.rounds()
            many = dict(rounds["player"].value_counts().iter_rows())
            # Asked name by name: a log begun before any round may have other capitals.
            logs = {name: SessionLog(opened).table(name) for name in many}
            practised = [name for name, log in logs.items() if log.height]
            names = with_a_say(many, practised, self.player)
            digests = opened.fingerprints()
            marks = {}
            for name in names:
                of = rounds.filter(pl.col("player") == name)["round_id"]
                marks[name] = digest_of(self._common, [digests[n] for n in of], logs[name].rows())
            found = {name: self._kept(name, marks[name]) for name in names}
            start = sum(name < self.player for name in names)
            missing = [name for name in names[start:] + names[:start] if found[name] is None]
            watched = self.watched if self.watched is not None and missing else _unwatched
            with watched(len(missing)) as step:
                for name in missing:
                    # Another process may have made it meanwhile.
                    found[name] = self._kept(name, marks[name])
                    # Whose rounds are damaged says nothing; who asks for them is told.
                    with suppress(DamagedError):
                        if found[name] is None:
                            played = PlayedRounds(name, opened.holes(name), opened.putts(name))
                            found[name] = self._made(played, logs[name], marks[name])
                    step()
        return {name: each for name, each in found.items() if each is not None}

    def _made(self, played: PlayedRounds, sessions: pl.DataFrame, mark: str) -> PeerRecord:
        # What a record holds rests on no baseline.
        scored = played.score(get_baseline("tour"))
        made = analyse(scored, played.player, drills=self.drills, sessions=sessions).record
        self._keep(played.player, mark, made)
        return made

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
                with half_written(place, private=True) as half:
                    kept = json.dumps({"of": mark, "record": record.as_dict()})
                    half.write_text(kept, encoding="utf-8")

"""Which stored rounds a command is about, and their analysis."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import platformdirs
import polars as pl

from sgputt.analysis.peers import StoredRecords
from sgputt.analysis.round import RoundAnalysis, analyse_round
from sgputt.analysis.rounds import PlayedRounds, days_of, years_of
from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.squad import SquadAnalysis, analyse_squad
from sgputt.archive.sessions import SessionLog
from sgputt.errors import TooFewError
from sgputt.practice.drills import Drill, load_drills
from sgputt.season.scored import Scored, score
from sgputt_cli.baselines import chosen_baseline
from sgputt_cli.options import RoundFilter, Shared, own_file
from sgputt_cli.output import counter
from sgputt_cli.stored import archive_path, asked_player, one_player, open_archive


def stored_rounds(shared: Shared) -> PlayedRounds:
    """All rounds of the player asked for."""
    with open_archive(shared) as archive:
        player = one_player(shared, archive)
        return PlayedRounds(player, archive.holes(player), archive.putts(player))


def all_drills(own: Path | None) -> tuple[Drill, ...]:
    """The catalogue and the user's own drills, from the option or the environment."""
    return load_drills(own_file(own))


def other_players(shared: Shared, player: str, drills: tuple[Drill, ...]) -> StoredRecords:
    """What the rounds of the other players of the archive say, where a decision asks."""
    bar = partial(counter, words="Players")
    return StoredRecords(archive_path(shared), player, drills, kept_records(), bar)


def kept_records() -> Path:
    """Folder of the user's cache in which what players' rounds say to others is kept."""
    return Path(platformdirs.user_cache_dir("sgputt", appauthor=False)) / "players"


def filtered(rounds: PlayedRounds, which: RoundFilter, year: int | None = None) -> PlayedRounds:
    """The rounds that the options ask for."""
    return rounds.filtered(year, which.since, which.until, which.last)


def select_season(
    shared: Shared,
    year: int | None = None,
    which: RoundFilter | None = None,
    own: Path | None = None,
) -> SeasonAnalysis:
    """Analyse the rounds of one player, of one year or all, that the options ask for."""
    which = which or RoundFilter()
    baseline = chosen_baseline(shared)
    rounds = filtered(stored_rounds(shared), which, year)
    drills = all_drills(own)
    with open_archive(shared) as archive:
        sessions = SessionLog(archive).table(rounds.player)
    return analyse(
        rounds.score(baseline),
        rounds.player,
        years_of(rounds.holes) if which.everything else days_of(rounds.holes),
        drills,
        _practised(sessions, rounds, which, year),
        others=other_players(shared, rounds.player, drills),
    )


def _practised(
    sessions: pl.DataFrame, rounds: PlayedRounds, which: RoundFilter, year: int | None
) -> pl.DataFrame:
    """Sets of drills within the days that the options ask for; of the last rounds, since these."""
    day = pl.col("date")
    since = which.since if which.last is None else rounds.holes["date"].min()
    wanted = [
        *([] if year is None else [day.dt.year() == year]),
        *([] if since is None else [day >= since]),
        *([] if which.until is None else [day <= which.until]),
    ]
    return sessions.filter(wanted) if wanted else sessions


def select_squad(
    shared: Shared, which: RoundFilter, changed_since: date | None = None
) -> SquadAnalysis:
    """Analyse every player's rounds, and name those who have none of the rounds asked for."""
    baseline = chosen_baseline(shared)
    players: dict[str, Scored] = {}
    sessions: dict[str, pl.DataFrame] = {}
    absent: list[str] = []
    with open_archive(shared) as archive:
        names = archive.players()
        for name in names:
            rounds = PlayedRounds(name, archive.holes(name), archive.putts(name))
            try:
                some = filtered(rounds, which)
                players[name] = some.score(baseline)
            except TooFewError:
                absent.append(name)
                continue
            log = SessionLog(archive).table(name)
            sessions[name] = _practised(log, some, which, None)
    if names and not players:
        raise TooFewError("No player has a round between those days.", "See them: sgputt rounds")
    drills = all_drills(None)
    return analyse_squad(
        players,
        drills,
        sessions,
        absent=absent,
        changed_since=changed_since,
        # With all rounds of all players the squad has these records itself.
        others=None
        if which.everything
        else {name: other_players(shared, name, drills) for name in players},
    )


def select_round(shared: Shared, round_id: int | None) -> RoundAnalysis:
    """Analyse one round; without an id the latest of the player asked for or set."""
    baseline = chosen_baseline(shared)
    with open_archive(shared) as archive:
        if round_id is None:
            whose = asked_player(shared, archive) or archive.settings().player
            rounds = archive.rounds(whose)
            if rounds.is_empty():
                rounds = archive.rounds(one_player(shared, archive))
            round_id = int(rounds["round_id"][-1])
        holes, putts = archive.holes(round_id=round_id), archive.putts(round_id=round_id)
    scored = score(putts, baseline, holes)
    return analyse_round(scored, select_season(replace(shared, player=str(holes["player"][0]))))

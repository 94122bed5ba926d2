"""All pages of an archive in one folder, linked: players, seasons, rounds, plans, the squad.

Only what changed is written again: the folder keeps a list of its pages, with a digest of all that
each was made from.
"""

from __future__ import annotations

import gc
import hashlib
import json
import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from functools import cached_property
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import polars as pl

from sgputt.analysis.peers import StoredRecords
from sgputt.analysis.round import analyse_round
from sgputt.analysis.rounds import PlayedRounds, years_of
from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.squad import SquadAnalysis
from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.baseline.curve import Baseline
from sgputt.digests import digest_of, program_digest
from sgputt.errors import SgputtError
from sgputt.files import write_whole
from sgputt.practice.drills import Drill
from sgputt.practice.peers import with_a_say
from sgputt.safe_text import shown
from sgputt.season.scored import score
from sgputt.wording import day, plural
from sgputt_reports.page import TEMPLATES, Link, Page, render, with_links
from sgputt_reports.practice import practice_page
from sgputt_reports.round import round_page
from sgputt_reports.season import season_page
from sgputt_reports.squad import squad_page

LIST_NAME = ".sgputt-pages.json"
_FORM = 1
_MOST_NAMED = 5


@dataclass
class Entry:
    """A file of ours.

    Attributes
    ----------
    made_from : str
        Digest of everything that it was made from.
    content : str or None
        Digest of what was written; None while it is being written.
    """

    made_from: str
    content: str | None = None


@dataclass
class SiteFolder:
    """The folder and the list of our files in it, which is kept there."""

    path: Path
    entries: dict[str, Entry] = field(default_factory=dict)
    program: str = ""

    @classmethod
    def open(cls, path: Path) -> SiteFolder:
        """Read the list of a folder, which need not exist yet.

        Raises
        ------
        SgputtError
            There is a file of that name, or the list cannot be read.
        """
        if path.exists() and not path.is_dir():
            raise SgputtError(f"{path} is a file.", "Name a folder for the pages.")
        listed = path / LIST_NAME
        if not listed.exists():
            return cls(path)
        try:
            kept = json.loads(listed.read_text(encoding="utf-8"))
            entries = {
                str(name): Entry(str(made), None if content is None else str(content))
                for name, (made, content) in kept["files"].items()
            }
            if kept["form"] != _FORM:
                raise ValueError(kept["form"])
            return cls(path, entries, str(kept["program"]))
        except (OSError, ValueError, KeyError, TypeError, AttributeError) as exc:
            raise SgputtError(
                f"{listed}, the list of pages in that folder, cannot be read.",
                "Name a new folder, or delete this one if nothing but pages of sgputt is in it.",
            ) from exc

    def stale(self, wanted: Mapping[str, str]) -> list[str]:
        """Files that are not there as they should be, of ``wanted`` names and what makes them."""
        return [
            name
            for name, made_from in wanted.items()
            if (entry := self.entries.get(name)) is None
            or entry.made_from != made_from
            or not self._untouched(name, entry)
        ]

    def _untouched(self, name: str, entry: Entry) -> bool:
        file = self.path / name
        return file.is_file() and entry.content == _digest(file.read_bytes())

    def begin(self, names: Sequence[str], program: str) -> None:
        """Note that these files are about to be written.

        Raises
        ------
        SgputtError
            One of them would replace what is not ours, or what somebody changed since.
        """
        foreign = [name for name in names if not self._may_write(name)]
        if foreign:
            named = ", ".join(shown(name) for name in foreign[:_MOST_NAMED])
            more = f" and {len(foreign) - _MOST_NAMED} more" if len(foreign) > _MOST_NAMED else ""
            raise SgputtError(
                f"In {self.path} there is something else, or a page that was changed by hand,"
                f" where pages would be written: {named}{more}. Nothing was written.",
                "Move it away, or name another folder.",
            )
        for name in names:
            self.entries[name] = Entry("")
        self.program = program
        self.path.mkdir(parents=True, exist_ok=True)
        self._write_list()

    def _may_write(self, name: str) -> bool:
        file = self.path / name
        parents = [parent for parent in file.parents if parent.is_relative_to(self.path)]
        if any(each.is_symlink() or (each.exists() and not each.is_dir()) for each in parents[:-1]):
            return False
        if not file.exists() and not file.is_symlink():
            return True
        if file.is_symlink() or not file.is_file():
            return False
        entry = self.entries.get(name)
        return entry is not None and (entry.content is None or self._untouched(name, entry))

    def end(self, made: Mapping[str, tuple[str, str]]) -> None:
        """Note what was written: by name, what it was made from and the digest of its content."""
        for name, (made_from, content) in made.items():
            self.entries[name] = Entry(made_from, content)
        self._write_list()

    def drop(self, wanted: Iterable[str]) -> tuple[list[str], list[str]]:
        """Remove pages of ours that are no longer wanted.

        Returns
        -------
        removed, left : list of str
            What somebody changed is left where it is.
        """
        removed, left = [], []
        for name in sorted(set(self.entries) - set(wanted)):
            entry = self.entries.pop(name)
            file = self.path / name
            if not file.exists():
                continue
            if entry.content is not None and not self._untouched(name, entry):
                left.append(name)
                continue
            file.unlink()
            removed.append(name)
            for parent in file.relative_to(self.path).parents[:-1]:
                if not any((self.path / parent).iterdir()):
                    (self.path / parent).rmdir()
        self._write_list()
        return removed, left

    def _write_list(self) -> None:
        files = {name: [each.made_from, each.content] for name, each in self.entries.items()}
        whole = {"form": _FORM, "program": self.program, "files": dict(sorted(files.items()))}
        text = json.dumps(whole, indent=0, ensure_ascii=True)
        write_whole(self.path / LIST_NAME, text.encode())


def write_page(folder: Path, name: str, html: str) -> str:
    """Write a page into a folder, making the folders on its way; the digest of its content."""
    content = html.encode("utf-8", "replace")
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    write_whole(file, content)
    return _digest(content)


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


HOME = "index.html"
SQUAD = "squad.html"
USUAL_MINUTES = 60
# Fewer pages, of fewer players, are written sooner than other processes start.
_WORTH_PAGES, _WORTH_PLAYERS = 24, 6
_LONGEST_NAME = 60
# A worker makes many objects and hardly any rubbish to look for.
_OBJECTS = 200_000
# Names of devices, which Windows lets no file have.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.ASCII)


@dataclass(frozen=True)
class SiteOptions:
    """What all pages of a site are made with.

    ``kept_in`` is a folder for what the rounds of players say to others; None for none.
    """

    archive: Path
    baseline: Baseline
    drills: tuple[Drill, ...]
    shown_in: str = "feet"
    minutes: int = USUAL_MINUTES
    kept_in: Path | None = None

    @cached_property
    def digest(self) -> str:
        """Of everything here that can change a page."""
        table = self.baseline.table
        return digest_of(
            self.baseline.name,
            self.baseline.title,
            self.baseline.limits,
            {name: table[name].to_list() for name in table.columns},
            [repr(drill) for drill in self.drills],
            self.shown_in,
            self.minutes,
        )


@dataclass(frozen=True)
class OnePlayer:
    """A player's pages.

    Attributes
    ----------
    rounds : tuple of dict
        ``round_id, date, round, course, fingerprint``, in the order played.
    practised : str
        Digest of the sets practised.
    records : str
        Digest of the rounds and sets of the other players whose records have a say.
    in_squad : bool
        Whether there are other players.
    """

    name: str
    rounds: tuple[dict[str, Any], ...]
    practised: str
    records: str
    in_squad: bool

    @cached_property
    def folder(self) -> str:
        """Name of the player's folder."""
        return file_name(self.name)

    @cached_property
    def years(self) -> list[int]:
        """Years with a round, the last first."""
        return sorted({each["date"].year for each in self.rounds}, reverse=True)

    @property
    def season(self) -> str:
        """The page of all rounds."""
        return f"{self.folder}/{HOME}"

    @property
    def plan(self) -> str:
        """The page of the practice plan."""
        return f"{self.folder}/plan.html"

    @property
    def list(self) -> str:
        """The page that lists the rounds."""
        return f"{self.folder}/rounds.html"

    def year(self, year: int) -> str:
        """The page of a year, where there are several."""
        return f"{self.folder}/{year}.html"

    @staticmethod
    def _stem(one: dict[str, Any]) -> str:
        return f"{one['date']}" + (f"-round-{one['round']}" if one["round"] > 1 else "")

    def round(self, one: dict[str, Any]) -> str:
        """The page of a round."""
        return f"{self.folder}/rounds/{self._stem(one)}.html"

    def wanted(self, common: str) -> dict[str, str]:
        """All pages of this player, each with the digest of what it is made from."""
        everything = [each["fingerprint"] for each in self.rounds]
        links = [self.name, self.years, self.in_squad]
        # What to practise rests on what other players' rounds say too.
        decided = [self.practised, self.records]
        whole = digest_of(common, links, everything, *decided)
        pages = {self.season: whole, self.plan: whole}
        pages[self.list] = digest_of(common, links, everything)
        if len(self.years) > 1:
            for year in self.years:
                of_year = [e["fingerprint"] for e in self.rounds if e["date"].year == year]
                pages[self.year(year)] = digest_of(common, links, of_year, *decided, year)
        for at, one in enumerate(self.rounds):
            beside = [self._stem(each) for each in self.rounds[max(0, at - 1) : at + 2]]
            pages[self.round(one)] = digest_of(common, links, one["fingerprint"], beside)
        return pages


@dataclass
class SiteReport:
    """What became of the pages of a site.

    Attributes
    ----------
    written, removed, left : list of str
        Names of files; those ``left`` are no longer wanted but were changed by hand.
    unchanged : int
    new_program : bool
        Whether all were written because another version of sgputt made those before.
    """

    written: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    unchanged: int = 0
    new_program: bool = False

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return asdict(self)


Made = dict[str, tuple[str, str]]


def write_site(
    folder: Path,
    options: SiteOptions,
    workers: int | None = None,
    progress: Callable[[int], Callable[[int], None]] | None = None,
) -> SiteReport:
    """Write the pages of an archive that are not yet in a folder as they should be.

    Parameters
    ----------
    folder : Path
        Made where it does not exist. Beside the pages it holds the list of them, by which the next
        run knows what is its own and from what it was made.
    options : SiteOptions
    workers : int, optional
        Processes that share the work; as many as there are cores, for a few pages none.
    progress : callable, optional
        Is told how many pages are to be written, and gives what is told how many more are.

    Raises
    ------
    SgputtError
        There are no rounds, or something in the folder is not ours; then nothing is written.
    """
    players = known_players(options.archive)
    program = program_digest(TEMPLATES.parent)
    common = digest_of(program, options.digest)
    wanted: dict[str, str] = {}
    for each in players:
        wanted |= each.wanted(common)
    everyone = digest_of(common, [each.name for each in players], wanted)
    wanted[HOME] = everyone
    if len(players) > 1:
        wanted[SQUAD] = everyone
    site = SiteFolder.open(folder)
    report = SiteReport(new_program=bool(site.entries) and site.program != program)
    stale = site.stale(wanted)
    report.unchanged = len(wanted) - len(stale)
    if stale:
        site.begin(stale, program)
        step = progress(len(stale)) if progress else lambda _: None
        site.end(_write_all(folder, options, players, wanted, stale, workers, step))
    report.written = stale
    report.removed, report.left = site.drop(wanted)
    return report


def _write_all(
    folder: Path,
    options: SiteOptions,
    players: Sequence[OnePlayer],
    wanted: dict[str, str],
    stale: Sequence[str],
    workers: int | None,
    step: Callable[[int], None],
) -> Made:
    left = set(stale)
    squad_too = SQUAD in left
    each_with_names = [(each, left & set(each.wanted(""))) for each in players]
    # The longest first, so that no process ends long after the others.
    tasks = sorted(
        ((each, names) for each, names in each_with_names if names or squad_too),
        key=lambda task: -len(task[1]),
    )
    made: dict[str, str] = {}
    seasons: dict[str, SeasonAnalysis] = {}
    if HOME in left:
        made[HOME] = write_page(folder, HOME, _home_page(players))
        step(1)
    for player, pages, season in _each_player(folder, options, tasks, squad_too, workers):
        made |= pages
        seasons[player] = season
        step(len(pages))
    if squad_too:
        made[SQUAD] = _write_squad(
            folder, options, {each.name: seasons[each.name] for each in players}
        )
        step(1)
    return {name: (wanted[name], content) for name, content in made.items()}


def _each_player(
    folder: Path,
    options: SiteOptions,
    tasks: Sequence[tuple[OnePlayer, set[str]]],
    with_decision: bool,
    workers: int | None,
) -> Iterator[tuple[str, dict[str, str], SeasonAnalysis]]:
    """Player, pages written and analysis, as they are done."""
    if workers is None:
        pages = sum(len(names) for _, names in tasks)
        worth = pages >= _WORTH_PAGES or len(tasks) >= _WORTH_PLAYERS
        workers = (os.cpu_count() or 1) if worth else 1
    with _pool(min(workers, len(tasks))) as pool:
        if pool is None:
            for player, names in tasks:
                yield _write_player(folder, options, player, names, with_decision)
        else:
            waiting = [
                pool.submit(_write_player, folder, options, player, names, with_decision)
                for player, names in tasks
            ]
            for done in as_completed(waiting):
                yield done.result()


@contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor | None]:
    if workers <= 1:
        yield None
        return
    # There is a process a core: threads of NumPy's own in each would wait for one another.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    pool = ProcessPoolExecutor(workers, get_context("spawn"), gc.set_threshold, (_OBJECTS,))
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def known_players(archive: Path) -> list[OnePlayer]:
    """Players with a round, with what tells whether their pages are as they should be."""
    with Archive(archive, make=False) as opened:
        digests = opened.fingerprints()
        table, log = opened.rounds(), SessionLog(opened)
        # Asked name by name: a log begun before any round may have other capitals.
        sets = {
            name: [list(map(str, row)) for row in log.table(name).rows()]
            for name in table["player"].unique()
        }
    rounds = [
        {**row, "fingerprint": digest_of(digests[row["round_id"]], *map(str, row.values()))}
        for row in table.select("round_id", "player", "date", "round", "course", "event").iter_rows(
            named=True
        )
    ]
    names = sorted({each["player"] for each in rounds}, key=str.casefold)
    played = {name: tuple(each for each in rounds if each["player"] == name) for name in names}
    many = {name: len(each) for name, each in played.items()}
    practised = [name for name in names if sets[name]]
    says = {
        name: digest_of([each["fingerprint"] for each in played[name]], sets[name])
        for name in names
    }

    def records(name: str) -> str:
        return digest_of([(each, says[each]) for each in with_a_say(many, practised, name)])

    return [
        OnePlayer(name, played[name], digest_of(sets[name]), records(name), in_squad=len(names) > 1)
        for name in names
    ]


def _write_player(
    folder: Path, options: SiteOptions, player: OnePlayer, names: set[str], with_decision: bool
) -> tuple[str, dict[str, str], SeasonAnalysis]:
    """Write these pages of a player; by name the digest of what was written."""
    with Archive(options.archive, make=False) as archive:
        whole = PlayedRounds(player.name, archive.holes(player.name), archive.putts(player.name))
        sessions = SessionLog(archive).table(player.name)
    season = _analysis(whole, options, sessions)
    made = {}
    for name, html in _player_pages(player, names, whole, season, sessions, options):
        made[name] = write_page(folder, name, with_links(html, _links(player, name)))
    if with_decision:
        # Worked out here, beside others, and handed on with the analysis to the squad's page.
        _ = season.decision, season.progress
    return player.name, made, season


def _analysis(rounds: PlayedRounds, options: SiteOptions, sessions: pl.DataFrame) -> SeasonAnalysis:
    return analyse(
        rounds.score(options.baseline),
        rounds.player,
        years_of(rounds.holes),
        options.drills,
        sessions,
        others=StoredRecords(options.archive, rounds.player, options.drills, options.kept_in),
    )


def _player_pages(
    player: OnePlayer,
    names: set[str],
    whole: PlayedRounds,
    season: SeasonAnalysis,
    sessions: pl.DataFrame,
    options: SiteOptions,
) -> Iterator[tuple[str, str]]:
    shown_in = options.shown_in
    if player.season in names:
        yield player.season, season_page(season, shown_in)
    if player.list in names:
        yield player.list, _list_page(player, season)
    if player.plan in names:
        behind = f"{plural(len(player.rounds), 'round')}, {years_of(whole.holes)}"
        plan = season.plan(options.minutes)
        yield player.plan, practice_page(plan, player.name, season.caution, behind, shown_in)
    for year in player.years:
        if player.year(year) in names:
            of_year = pl.col("date").dt.year() == year
            rounds = whole.filtered(year=year)
            part = _analysis(rounds, options, sessions.filter(of_year))
            yield player.year(year), season_page(part, shown_in)
    for one in player.rounds:
        if player.round(one) in names:
            this = pl.col("round_id") == one["round_id"]
            scored = score(whole.putts.filter(this), options.baseline, whole.holes.filter(this))
            page = round_page(analyse_round(scored, season), shown_in, with_next_drill=False)
            yield player.round(one), page


def _links(player: OnePlayer, name: str) -> list[Link]:
    """Where one can go from a page of a player."""
    up = "../" * name.count("/")

    def link(words: str, target: str) -> Link:
        return Link(words, up + target, here=target == name)

    links = [link("Players", HOME)]
    if player.in_squad:
        links.append(link("Squad", SQUAD))
    links.append(link("Season" if len(player.years) == 1 else "All years", player.season))
    if len(player.years) > 1:
        links += [link(str(year), player.year(year)) for year in player.years]
    links += [link("Practice", player.plan), link("Rounds", player.list)]
    names = [player.round(each) for each in player.rounds]
    if name in names:
        at = names.index(name)
        if at > 0:
            links.append(link("\u2039 Round before", names[at - 1]))
        if at + 1 < len(names):
            links.append(link("Round after \u203a", names[at + 1]))
    return links


def _list_page(player: OnePlayer, season: SeasonAnalysis) -> str:
    table = season.summary.rounds_table
    gained = {
        (row["date"], row["round"]): row["strokes_gained"] for row in table.iter_rows(named=True)
    }
    rows = [
        {
            **each,
            "href": player.round(each).removeprefix(f"{player.folder}/"),
            "gained": gained.get((each["date"], each["round"])),
        }
        for each in reversed(player.rounds)
    ]
    body = render(
        "site_rounds",
        player=player.name,
        rounds=rows,
        many=len(rows),
        one_year=len(player.years) == 1,
    )
    return Page(f"{player.name}: rounds", body).html()


def _home_page(players: Sequence[OnePlayer]) -> str:
    rows = [
        {
            "name": each.name,
            "rounds": len(each.rounds),
            "last": day(each.rounds[-1]["date"], True),
            "season": each.season,
            "plan": each.plan,
            "list": each.list,
        }
        for each in players
    ]
    squad = SQUAD if len(players) > 1 else ""
    body = render("site_home", players=rows, many=len(rows), squad=squad)
    return Page("Putting: players", body).html()


def _write_squad(folder: Path, options: SiteOptions, seasons: dict[str, SeasonAnalysis]) -> str:
    html = squad_page(SquadAnalysis(seasons, options.drills), options.shown_in)
    links = [Link("Players", HOME), Link("Squad", SQUAD, here=True)]
    return write_page(folder, SQUAD, with_links(html, links))


def file_name(name: str) -> str:
    """A name of small letters, digits and hyphens, which no other name has.

    What cannot be told from the letters that are left is told by a digest behind them.

    Examples
    --------
    >>> file_name("Mara Lindqvist")
    'mara-lindqvist'
    >>> file_name("Zo\u00eb")
    'zoe-09dcdc'
    """
    letters = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(letter for letter in letters if not unicodedata.combining(letter))
    slug = "-".join(re.findall(r"[a-z0-9]+", plain))[:_LONGEST_NAME].strip("-")
    same = bool(slug) and slug.replace("-", " ") == name.casefold() and not _DEVICES.fullmatch(slug)
    return slug if same else f"{slug or 'player'}-{digest_of(name.casefold())[:6]}"

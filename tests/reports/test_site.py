"""All pages in a folder: linked, written again only when they change, and nothing else touched."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner, Result

from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import SgputtError
from sgputt.practice import peers
from sgputt.practice.drills import load_drills
from sgputt_cli.main import cli
from sgputt_reports import site
from sgputt_reports.site import LIST_NAME, SiteOptions, file_name, write_site
from tests.practice.invented import practised
from tests.reports.cases import putts

MARA, ZOE = "Mara Lindqvist", "Zo\u00eb </a><script>alert(1)</script>"
COLUMNS = ["player", "date", "course", "hole", "putt", "distance_ft", "result", "slope", "break"]


def store(folder: Path, archive: Path, name: str, rounds: int, skip: int = 0) -> None:
    """Import some rounds of a player; with ``skip`` those after the first ones."""
    table = putts(rounds, name).select(COLUMNS)
    later = table["date"].unique().sort()[skip:].to_list()
    card = folder / "card.csv"
    table.filter(pl.col("date").is_in(later)).write_csv(card)
    words = ["import", "--archive", str(archive), "--as-written", "--missing", "chipped-in"]
    done = CliRunner().invoke(cli, [*words, str(card)])
    assert done.exit_code == 0, done.output


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an archive of two players and its pages."""
    home = tmp_path_factory.mktemp("site")
    store(home, home / "a.sqlite", MARA, 3)
    store(home, home / "a.sqlite", ZOE, 2)
    report = write_site(home / "pages", options(home))
    assert report.unchanged == 0
    return home


@pytest.fixture
def home(first: Path, tmp_path: Path) -> Path:
    shutil.copytree(first, tmp_path / "home")
    return tmp_path / "home"


def options(home: Path, shown_in: str = "feet") -> SiteOptions:
    return SiteOptions(home / "a.sqlite", get_baseline(), load_drills(), shown_in)


def pages(home: Path) -> dict[str, bytes]:
    folder = home / "pages"
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in folder.rglob("*")
        if file.is_file() and file.name != LIST_NAME
    }


class Links(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__()
        self.targets: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.targets += [value or "" for name, value in attrs if name in ("href", "src")]


def test_every_page_is_there_and_reached_by_links_that_lead_somewhere(first: Path) -> None:
    found = pages(first)
    folder = first / "pages"
    zoe = file_name(ZOE)
    assert {"index.html", "squad.html", "mara-lindqvist/index.html", f"{zoe}/plan.html"} <= set(
        found
    )
    assert sum("/rounds/" in name for name in found) == 5
    seen, waiting = set(), ["index.html"]
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        for target in Links(found[name].decode()).targets:
            if target.startswith(("#", "data:")):
                continue
            assert "//" not in target
            file = (folder / name).parent.joinpath(target).resolve()
            waiting.append(file.relative_to(folder.resolve()).as_posix())
    assert seen == set(found)


def test_hostile_names_are_text(first: Path) -> None:
    for name, page in pages(first).items():
        assert b"<script>alert" not in page, name
        assert "<" not in name


def test_again_writes_nothing(home: Path) -> None:
    before = {file: file.stat().st_mtime_ns for file in (home / "pages").rglob("*.html")}
    report = write_site(home / "pages", options(home))
    assert (report.written, report.removed, report.left) == ([], [], [])
    assert report.unchanged == len(before)
    assert not report.new_program
    assert {file: file.stat().st_mtime_ns for file in before} == before


def test_a_new_round_writes_only_what_it_changes_and_that_as_if_at_once(home: Path) -> None:
    before = pages(home)
    store(home, home / "a.sqlite", MARA, 4, skip=3)
    report = write_site(home / "pages", options(home))
    after = pages(home)
    rounds = sorted(name for name in after if name.startswith("mara-lindqvist/rounds/"))
    # The new round, and the one before it, which now leads to it.
    assert set(report.written) == {
        *("index.html", "squad.html", "mara-lindqvist/index.html"),
        *("mara-lindqvist/plan.html", "mara-lindqvist/rounds.html"),
        *rounds[-2:],
    }
    untouched = set(before) - set(report.written)
    assert {name: after[name] for name in untouched} == {name: before[name] for name in untouched}
    shutil.rmtree(home / "pages")
    write_site(home / "pages", options(home), workers=2)
    assert pages(home) == after


def test_whose_rounds_have_a_say_is_asked_of_each_player(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To the player of most rounds the next one has a say, who has none to the others."""
    monkeypatch.setattr(peers, "FEWEST_ROUNDS", 1)
    monkeypatch.setattr(peers, "MOST_PEERS", 1)
    before = [each.records for each in site.known_players(home / "a.sqlite")]
    store(home, home / "a.sqlite", ZOE, 3, skip=2)
    mara, zoe = (each.records for each in site.known_players(home / "a.sqlite"))
    assert (mara == before[0], zoe == before[1]) == (False, True)


def test_sets_logged_under_another_spelling_change_the_pages(home: Path) -> None:
    before = site.known_players(home / "a.sqlite")
    with Archive(home / "a.sqlite") as archive:
        SessionLog(archive).add(practised("gate-2ft-ahead", date(2024, 1, 8), player=MARA))
    with closing(sqlite3.connect(home / "a.sqlite")) as opened, opened:
        opened.execute("UPDATE sessions SET player = lower(player)")
    after = site.known_players(home / "a.sqlite")
    assert [old.practised != new.practised for old, new in zip(before, after, strict=True)] == [
        True,
        False,
    ]


def test_another_unit_or_program_writes_everything(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = write_site(home / "pages", options(home, "metres"))
    assert report.unchanged == 0
    assert not report.new_program
    monkeypatch.setattr(site, "program_digest", lambda *_: "another")
    monkeypatch.setattr(site, "_write_all", lambda *_: {})
    report = write_site(home / "pages", options(home, "metres"))
    assert report.unchanged == 0
    assert report.new_program


def test_a_round_taken_out_takes_its_page_along(home: Path) -> None:
    with Archive(home / "a.sqlite") as archive:
        last = archive.rounds(MARA).row(-1, named=True)
        archive.remove(last["round_id"])
    report = write_site(home / "pages", options(home))
    assert report.removed == [f"mara-lindqvist/rounds/{last['date']}.html"]
    assert set(pages(home)) == set(site_names(home))


def site_names(home: Path) -> list[str]:
    kept = json.loads((home / "pages" / LIST_NAME).read_text(encoding="utf-8"))
    return list(kept["files"])


def test_what_is_not_ours_is_never_replaced(home: Path) -> None:
    shutil.rmtree(home / "pages")
    (home / "pages" / "mara-lindqvist").mkdir(parents=True)
    notes = home / "pages" / "mara-lindqvist" / "plan.html"
    notes.write_text("my own plan", encoding="utf-8")
    (home / "pages" / "holiday.html").write_text("photos", encoding="utf-8")
    with pytest.raises(SgputtError, match=r"mara-lindqvist/plan\.html.*Nothing was written"):
        write_site(home / "pages", options(home))
    assert set(pages(home)) == {"mara-lindqvist/plan.html", "holiday.html"}
    notes.unlink()
    write_site(home / "pages", options(home))
    assert (home / "pages" / "holiday.html").read_text(encoding="utf-8") == "photos"


def test_a_page_changed_by_hand_is_not_replaced(home: Path) -> None:
    page = home / "pages" / "squad.html"
    page.write_text("with my remarks", encoding="utf-8")
    with pytest.raises(SgputtError, match=r"squad\.html"):
        write_site(home / "pages", options(home))
    assert page.read_text(encoding="utf-8") == "with my remarks"
    page.unlink()
    assert write_site(home / "pages", options(home)).written == ["squad.html"]


def test_a_link_out_of_the_folder_is_not_followed(home: Path) -> None:
    shutil.rmtree(home / "pages" / "mara-lindqvist")
    (home / "elsewhere").mkdir()
    (home / "pages" / "mara-lindqvist").symlink_to(home / "elsewhere")
    with pytest.raises(SgputtError, match="mara-lindqvist"):
        write_site(home / "pages", options(home))
    assert list((home / "elsewhere").iterdir()) == []


def test_a_stopped_run_is_gone_on_with(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = pages(home)
    shutil.rmtree(home / "pages")

    def stop(*_: object) -> dict[str, str]:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(site, "_write_squad", stop)
        with pytest.raises(KeyboardInterrupt):
            write_site(home / "pages", options(home), workers=1)
    assert "index.html" in pages(home)
    write_site(home / "pages", options(home))
    assert pages(home) == whole


def test_names_of_files_are_safe_and_differ() -> None:
    names = [
        *("Mara Lindqvist", "Mara-Lindqvist", "Mara  Lindqvist", "Zo\u00eb", "Zoe", "Zo\u00e9"),
        *("\u65e5\u672c", "\u65e5", "..", ".", "a/b", "a\\b", "a:b", "con", "NUL", "=1+1"),
        *("x" * 200, "x" * 201, "-", "\U0001f3cc"),
    ]
    found = [file_name(name) for name in names]
    assert len(set(found)) == len(names)
    for each in found:
        assert each.isascii()
        assert set(each) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
        assert 0 < len(each) < 80
    assert file_name("Mara Lindqvist") == file_name("MARA LINDQVIST") == "mara-lindqvist"
    assert not {"con", "nul"} & set(found)


def test_the_command_says_what_it_wrote(home: Path) -> None:
    def run(*words: str) -> Result:
        return CliRunner().invoke(cli, ["pages", "--archive", str(home / "a.sqlite"), *words])

    done = run(str(home / "pages"))
    assert done.exit_code == 0, done.output
    assert "0 pages written" in done.output
    assert "index.html" in done.output
    found = json.loads(run(str(home / "pages"), "--json").output)
    assert found["written"] == []
    assert found["unchanged"] == len(pages(home))
    wrong = run(str(home / "a.sqlite"))
    assert wrong.exit_code == 1
    assert "is a file" in str(wrong.exception)
    (home / "pages" / LIST_NAME).write_text("{", encoding="utf-8")
    assert "cannot be read" in str(run(str(home / "pages")).exception)

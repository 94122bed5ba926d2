"""Pages written by commands: whole files under their names, and stdout as promised."""

from __future__ import annotations

import re
import shlex
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.cli.conftest import Command, Ran, command


@pytest.fixture
def six(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds in the archive."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    return sgputt


@dataclass(frozen=True)
class Demo:
    """A folder with a space in its name, and what the demo said there."""

    folder: Path
    said: Ran

    @property
    def archive(self) -> Path:
        return self.folder / "demo.sqlite"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    folder = tmp_path_factory.mktemp("a folder")
    ran = command("demo", "--out", folder / "season.html")
    assert (ran.status, ran.err) == (0, "")
    return Demo(folder, ran)


def is_page(path: Path) -> bool:
    text = path.read_text(encoding="utf-8")
    return text.lower().startswith("<!doctype html>") and text.rstrip().endswith("</html>")


def words_of(path: Path) -> str:
    """A page as it is read: without its pictures, whose last digits hang on the threads."""
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"base64,[^\"')]*", "", text)
    text = re.sub(r"(?s)<script.*?</script>", "", text)
    return re.sub(r"(?s)<svg.*?</svg>", "", text)


@pytest.mark.parametrize("words", [["season"], ["round"], ["round", "2"]], ids=" ".join)
def test_a_page_is_written_whole(six: Command, home: Path, words: list[str]) -> None:
    ran = six(*words, "--out", "page.html")
    assert (ran.status, ran.err) == (0, "")
    assert "Wrote page.html" in ran.out
    assert is_page(home / "page.html")
    assert "Mara Lindqvist" in (home / "page.html").read_text(encoding="utf-8")
    assert [p.name for p in home.iterdir() if p.name.startswith(".page")] == []


def test_the_same_rounds_give_the_same_page(six: Command, home: Path) -> None:
    for name in ("one.html", "two.html"):
        assert six("round", "--out", name).status == 0
    assert words_of(home / "one.html") == words_of(home / "two.html")


@pytest.mark.parametrize("name", ["season", "round"])
def test_with_json_a_page_is_written_in_silence(six: Command, home: Path, name: str) -> None:
    ran = six(name, "--json", "--out", "page.html")
    assert ran.json["player"] == "Mara Lindqvist"
    assert is_page(home / "page.html")


def test_a_page_that_cannot_be_written_leaves_the_old_one(six: Command, home: Path) -> None:
    (home / "old.html").write_text("old", encoding="utf-8")
    ran = six("round", "--out", "none/page.html")
    assert ran.status == 1
    assert "none" in ran.err
    ran = six("season", "1999", "--out", "old.html")
    assert ran.status == 1
    assert (home / "old.html").read_text(encoding="utf-8") == "old"


def test_the_demo_needs_nothing_and_touches_nothing(
    sgputt: Command, home: Path, demo: Demo
) -> None:
    page, said = demo.folder / "season.html", demo.said.out
    assert is_page(page)
    assert re.search(r"Next drill: \w", said)
    assert re.search(r"Pass mark.*: .*\d", said)
    assert "invented" in said
    assert sgputt("rounds", "--archive", demo.archive, "--json").json[0]["round_id"] == 1
    first = words_of(page)
    # Twice gives the same page, and the imports change nothing.
    assert sgputt("demo", "--out", page).out == said
    assert words_of(page) == first
    assert not (home / "archive.sqlite").exists()


def test_what_the_demo_says_to_try_can_be_typed(sgputt: Command, demo: Demo) -> None:
    lines = demo.said.out.splitlines()
    typed = [shlex.split(line)[1:] for line in lines if line.startswith("  sgputt")]
    assert len(typed) > 3
    for words in typed:
        assert words[-1] == str(demo.archive)
        assert sgputt(*words).status == 0, words


def test_an_empty_archive_says_how_to_look_around(sgputt: Command, demo: Demo) -> None:
    for words in ("season", "practice", "round", "squad", "export --what season"):
        ran = sgputt(*words.split())
        assert ran.status == 1
        assert "sgputt demo, then sgputt season --archive demo.sqlite" in ran.err
    assert sgputt("season", "--archive", demo.archive).status == 0


def test_the_demo_finds_the_habit_that_was_planted(sgputt: Command, demo: Demo) -> None:
    # sgputt.demo: too little of the break of putts from left to right.
    habits = sgputt("stroke", "--archive", demo.archive, "--json").json["habits"]
    told = [(each["habit"], each["where"]) for each in habits if each["told"]]
    assert told == [("too little break", "left to right")]
    first = sgputt("practice", "--archive", demo.archive, "--json").json["priorities"][0]
    assert (first["cause"], first["habit"]) == ("read", "too little break")
    assert first["where"]["break"] == "left to right"

"""What the sdist holds: all that the tests, the build and a reader need."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.packaging.built import ROOT, build, files_under, unpack_sdist, unpack_wheel

FOLDERS = (".ci", "cli", "data", "reports", "sgputt", "tests")
# Hatchling writes the first and takes the second along by itself.
BESIDES = {"PKG-INFO", ".gitignore"}


def tracked() -> list[str]:
    """What git keeps here; none where this is no checkout."""
    if not (ROOT / ".git").exists():
        pytest.skip("no git checkout")
    done = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    return [name for name in done.stdout.split("\0") if name and (ROOT / name).exists()]


def test_it_holds_every_file_that_git_keeps(sdist: Path) -> None:
    assert set(tracked()) - files_under(sdist).keys() == set()


def test_it_holds_the_folders_as_they_are(sdist: Path) -> None:
    held = files_under(sdist)
    for folder in FOLDERS:
        here = files_under(ROOT / folder)
        assert here, folder
        there = {name: text for name, text in held.items() if name.startswith(f"{folder}/")}
        assert sorted(there) == sorted(f"{folder}/{name}" for name in here)
        assert [name for name in here if here[name] != there[f"{folder}/{name}"]] == []


def test_it_holds_nothing_else_of_the_checkout(sdist: Path) -> None:
    names = {name for name in files_under(sdist) if "/" not in name} - BESIDES
    assert names == {
        "DEVELOPERS.md",
        "LICENCES.md",
        "LICENSE",
        "Makefile",
        "README.md",
        "constraints-lowest.txt",
        "constraints.txt",
        "pyproject.toml",
        "requirements-locked.txt",
    }
    for folder in sdist.iterdir():
        assert folder.name in FOLDERS or folder.is_file()


def test_the_wheel_of_the_sdist_is_the_wheel_of_the_checkout(
    sdist: Path, wheel: Path, tmp_path: Path
) -> None:
    again = build("wheel", tmp_path / "out", sdist)
    assert files_under(unpack_wheel(again, tmp_path / "wheel")) == files_under(wheel)


def test_an_sdist_of_the_sdist_is_the_same(sdist: Path, tmp_path: Path) -> None:
    again = build("sdist", tmp_path / "out", sdist)
    assert files_under(unpack_sdist(again, tmp_path / "again")) == files_under(sdist)


@pytest.mark.parametrize("kind", ["sdist", "wheel"])
def test_built_twice_in_two_places_it_is_the_same_bytes(
    kind: str, sdist: Path, tmp_path: Path
) -> None:
    one, other = build(kind, tmp_path / "one"), build(kind, tmp_path / "other", sdist)
    assert one.name == other.name
    assert one.read_bytes() == other.read_bytes()

"""What the wheel holds and lacks, and that sgputt works from it without this checkout."""

from __future__ import annotations

import configparser
import json
import shutil
import subprocess
import sys
from email.parser import Parser
from pathlib import Path

import click
import polars
import pytest

from sgputt_cli.main import COMMANDS
from tests.packaging import pins
from tests.packaging.built import ROOT, files_under

INFO = f"sgputt-{pins.project()['version']}.dist-info"
PACKAGES = {
    "sgputt": ROOT / "sgputt",
    "sgputt_cli": ROOT / "cli" / "sgputt_cli",
    "sgputt_reports": ROOT / "reports" / "sgputt_reports",
    "sgputt/reference": ROOT / "data" / "reference",
}
RUN = "import sys; sys.path[:0] = {places!r}; from sgputt_cli.main import run; run()"


def sgputt(places: list[Path], words: list[str], home: Path) -> subprocess.CompletedProcess[str]:
    """Run a command with these folders first on the path and nothing from the environment.

    ``-I`` leaves out the current folder and every variable; ``-S`` leaves out site-packages,
    through which an editable installation would lead back to the checkout.
    """
    code = RUN.format(places=[str(each) for each in places])
    return subprocess.run(
        [sys.executable, "-I", "-S", "-c", code, *words],
        cwd=home,
        env={"HOME": str(home), "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@pytest.fixture(scope="module")
def click_alone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with click in it and no other library."""
    folder = tmp_path_factory.mktemp("click")
    source = click.__file__
    assert source is not None
    shutil.copytree(Path(source).parent, folder / "click")
    return folder


def test_no_name_but_ours_lands_beside_other_packages(wheel: Path) -> None:
    assert {path.name for path in wheel.iterdir()} == {
        "sgputt",
        "sgputt_cli",
        "sgputt_reports",
        INFO,
    }


def test_it_holds_every_file_of_the_packages_as_it_is(wheel: Path) -> None:
    expected = {
        f"{place}/{name}": content
        for place, folder in PACKAGES.items()
        for name, content in files_under(folder).items()
    }
    held = {
        name: content for name, content in files_under(wheel).items() if not name.startswith(INFO)
    }
    assert sorted(held) == sorted(expected)
    assert [name for name in held if held[name] != expected[name]] == []
    assert {
        "sgputt/reference/drills.toml",
        "sgputt_reports/templates/season.html.j2",
    } <= held.keys()


def test_its_metadata_are_those_of_the_project(wheel: Path) -> None:
    metadata = Parser().parsestr((wheel / INFO / "METADATA").read_text(encoding="utf-8"))
    assert metadata["License-Expression"] == "MIT"
    assert metadata["Requires-Python"] == pins.project()["requires-python"]
    assert metadata.get_all("Provides-Extra") == pins.extras()
    needs = [line for line in metadata.get_all("Requires-Dist") or [] if "extra ==" not in line]
    assert len(needs) == len(pins.asked())
    licence = wheel / INFO / "licenses" / "LICENSE"
    assert licence.read_bytes() == (ROOT / "LICENSE").read_bytes()
    commands = configparser.ConfigParser()
    commands.read(wheel / INFO / "entry_points.txt")
    assert dict(commands["console_scripts"]) == {"sgputt": "sgputt_cli.main:run"}


@pytest.mark.parametrize("words", [["-h"], ["--help"], ["season", "-h"], ["--version"]])
def test_help_needs_nothing_but_click(
    wheel: Path, click_alone: Path, tmp_path: Path, words: list[str]
) -> None:
    done = sgputt([wheel, click_alone], words, tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    if words == ["-h"]:
        assert all(f"  {name} " in done.stdout for name in COMMANDS)


def test_reference_data_are_found_in_it(wheel: Path, tmp_path: Path) -> None:
    site = Path(polars.__file__).parents[1]
    done = sgputt([wheel, site], ["--json", "expect", "8"], tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)
    # Without its reference data the same command cannot answer: they were found inside.
    bare = tmp_path / "bare"
    shutil.copytree(wheel, bare, ignore=shutil.ignore_patterns("reference"))
    done = sgputt([bare, site], ["--json", "expect", "8"], tmp_path)
    assert done.returncode == 1
    assert "reference data" in done.stderr

"""LICENCES.md is up to date, and no licence in it stands against distributing under MIT."""

from __future__ import annotations

import re
from importlib.metadata import Distribution, PathDistribution
from pathlib import Path

import pytest

from tests.packaging import licences, pins
from tests.packaging.licences import Stated
from tests.packaging.parts import OTHER_VERSIONS, PARTS, as_pinned, needed

# Free to use and pass on with a notice, or without one.
FREE = {"MIT", "BSD-2-Clause", "BSD-3-Clause", "Apache-2.0", "ISC", "PSF-2.0", "0BSD", "Zlib"}
FREE |= {"CC0-1.0", "Unlicense", "HPND", "Python-2.0", "MIT-CMU", "BSL-1.0"}


@pytest.mark.parametrize("part", PARTS)
def test_the_table_is_that_of_what_is_installed(part: str | None) -> None:
    as_pinned()
    needed(part)
    listed = licences.sections()[licences.title(part)]
    said = licences.section(part)
    assert listed.strip() == said.strip(), "Run: make pins"


def test_every_extra_has_its_table_and_no_other() -> None:
    titles = ["What sgputt needs", *map(licences.title, pins.extras())]
    assert list(licences.sections()) == titles
    assert licences.PAGE.read_text(encoding="utf-8").startswith(licences.HEAD)


@pytest.mark.parametrize("part", PARTS)
def test_no_licence_stands_against_mit(part: str | None) -> None:
    """All are known; copyleft only of the file, and not in what sgputt itself needs."""
    allowed = FREE | set(licences.OF_THE_FILE if part else ())
    wrong = {}
    for name, package in needed(part).items():
        licence = licences.stated(package).licence
        choices = [re.findall(r"[\w.-]+", each) for each in licence.split(" OR ")]
        if not any(set(each) - {"AND"} <= allowed for each in choices):
            wrong[name] = licence
    assert wrong == {}


@pytest.mark.parametrize("part", PARTS)
def test_copyleft_is_named_aloud(part: str | None) -> None:
    needed(part)
    said = " ".join(licences.aloud(part))
    for name, _, licence, _ in licences.rows(part):
        assert (name in said) == (
            licences.copyleft(licence)
            or licences.carried(pins.closure(pins.asked(part))[name]) != []
        )


def package(folder: Path, metadata: str, licence: str = "") -> Distribution:
    """An installed package with these metadata."""
    info = folder / "some-1.0.dist-info"
    info.mkdir()
    info.joinpath("METADATA").write_text(f"Name: some\nVersion: 1.0\n{metadata}", encoding="utf-8")
    info.joinpath("LICENSE").write_text(licence, encoding="utf-8")
    info.joinpath("RECORD").write_text(
        "some-1.0.dist-info/LICENSE,,\nsome-1.0.dist-info/METADATA,,\n", encoding="utf-8"
    )
    return PathDistribution(info)


GPL = "License :: OSI Approved :: GNU General Public License v3 (GPLv3)"


@pytest.mark.parametrize(
    ("metadata", "text", "expected"),
    [
        ("License-Expression: GPL-3.0-only\nLicense: MIT\n", "", ("GPL-3.0-only", "expression")),
        ("License: Apache 2.0\n", "", ("Apache-2.0", "field")),
        ("License: see file\n", "... Neither the name of", ("BSD-3-Clause", "text")),
        ("Classifier: License :: OSI Approved :: MIT License\n", "", ("MIT", "classifier")),
        (f"Classifier: {GPL}\n", "", ("unknown", "nowhere")),
        ("License: BSD\n", "", ("unknown", "nowhere")),
    ],
)
def test_where_a_licence_is_stated(
    tmp_path: Path, metadata: str, text: str, expected: tuple[str, str]
) -> None:
    assert licences.stated(package(tmp_path, metadata, text)) == Stated(*expected)


@pytest.mark.parametrize(
    ("licence", "expected"),
    [
        ("MIT", False),
        ("MPL-2.0", True),
        ("MIT OR GPL-3.0-only", False),
        ("MIT AND LGPL-2.1-only", True),
        ("(GPL-2.0-only OR AGPL-3.0-only)", True),
    ],
)
def test_copyleft_is_told(licence: str, expected: bool) -> None:
    assert licences.copyleft(licence) is expected


def test_what_a_package_carries_along_is_told(tmp_path: Path) -> None:
    here = package(tmp_path, "License: MIT\n", "... GCC RUNTIME LIBRARY EXCEPTION ...")
    [what] = licences.carried(here)
    assert "GPL-3.0" in what


def test_this_run_knows_its_versions() -> None:
    assert OTHER_VERSIONS in (None, "lowest", "newest")

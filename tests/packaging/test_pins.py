"""Versions: pinned in full, within pyproject's ranges, installed as pinned, lowest as promised."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.packaging import locked, pins
from tests.packaging.parts import OTHER_VERSIONS, PARTS, as_pinned, needed


@pytest.mark.parametrize("part", PARTS)
def test_all_that_is_needed_is_pinned(part: str | None) -> None:
    as_pinned()
    assert needed(part).keys() - pins.pins().keys() == set()


@pytest.mark.parametrize("part", PARTS)
def test_what_is_installed_is_what_is_pinned(part: str | None) -> None:
    as_pinned()
    pinned = pins.pins()
    here = {name: each.version for name, each in needed(part).items()}
    assert here == {name: pinned.get(name) for name in here}, "Install with: make test"


def test_nothing_is_pinned_that_nobody_needs() -> None:
    as_pinned()
    used = set().union(*(needed(part) for part in PARTS))
    used |= pins.closure(map(Requirement, pins.project()["build"])).keys()
    assert pins.pins().keys() - used == set()


def test_pins_lie_in_the_ranges_of_pyproject() -> None:
    pinned = pins.pins()
    outside = [
        str(each)
        for each in pins.everything()
        if pinned.get(canonicalize_name(each.name), "") not in each.specifier
    ]
    assert outside == []


def test_the_tools_bring_every_extra() -> None:
    """Or else its tests would be skipped where ``make test`` installs ``.[dev]``."""
    tools = {str(each) for each in pins.asked(pins.TOOLS)}
    for extra in pins.extras():
        assert {str(each) for each in pins.asked(extra)} <= tools, extra


def test_pins_stand_in_order() -> None:
    names = list(pins.pins())
    assert names == sorted(names)


def test_every_dependency_says_its_lowest_version() -> None:
    """Stubs follow the library they describe and need no bound of their own."""
    unbounded = {each.name for each in pins.everything() if pins.lowest(each) is None}
    assert [name for name in unbounded if "stubs" not in name and "types" not in name] == []
    assert unbounded <= {each.name for each in pins.asked(pins.TOOLS)}


def test_the_lowest_versions_are_those_of_pyproject() -> None:
    bounds: dict[str, set[str | None]] = {}
    for each in pins.everything():
        bounds.setdefault(canonicalize_name(each.name), set()).add(pins.lowest(each))
    assert [name for name, each in bounds.items() if len(each) > 1] == []
    assert pins.LOWEST.read_text(encoding="utf-8") == pins.lowest_text(), "Run: make pins"
    assert {name: {bound} for name, bound in pins.pins(pins.LOWEST).items()} == {
        name: each for name, each in bounds.items() if each != {None}
    }


def test_every_pin_has_its_hash() -> None:
    hashed = locked.locked()
    assert {name: version for name, (version, _) in hashed.items()} == pins.pins(), "make pins"
    assert [
        name for name, (_, each) in hashed.items() if not re.fullmatch("[0-9a-f]{64}", each)
    ] == []
    assert "://" not in locked.LOCKED.read_text(encoding="utf-8")


@pytest.mark.skipif(OTHER_VERSIONS != "lowest", reason="for make test-lowest")
def test_the_lowest_versions_are_installed() -> None:
    """Or else the run would prove nothing about them."""
    here = pins.closure(pins.everything())
    wrong = [
        f"{name} {here[name].version}, not {version}"
        for name, version in pins.pins(pins.LOWEST).items()
        if here[name].version not in Requirement(f"{name}=={version}").specifier
    ]
    assert wrong == []


def test_a_line_that_pins_nothing_is_refused(tmp_path: Path) -> None:
    for text in ("click>=8\n", "click==8.2\nClick==8.3\n"):
        path = tmp_path / "constraints.txt"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(ValueError, match="is no pin"):
            pins.pins(path)


def test_an_extra_that_names_others_stands_for_them(monkeypatch: pytest.MonkeyPatch) -> None:
    table = {
        "dependencies": ["click>=8"],
        "optional-dependencies": {"all": ["sgputt[far]", "rich>=1"], "far": ["dask>=2"]},
    }
    monkeypatch.setattr(pins, "project", lambda: table)
    assert [str(each) for each in pins.asked("all")] == ["dask>=2", "rich>=1"]


def test_a_package_that_is_not_here_is_named() -> None:
    with pytest.raises(pins.NotInstalledError, match="no-such-package-of-ours"):
        pins.closure([Requirement("no-such-package-of-ours>=1")])

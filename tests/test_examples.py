"""The examples in docstrings, and that every name of the interface has one."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import sgputt
from tests.test_house import ROOT

FOLDERS = ("sgputt", "cli/sgputt_cli", "reports/sgputt_reports")


def module_name(path: Path) -> str:
    return (
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        .removeprefix("cli.")
        .removeprefix("reports.")
    )


WITH_EXAMPLES = sorted(
    module_name(path)
    for folder in FOLDERS
    for path in (ROOT / folder).rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("module", WITH_EXAMPLES)
def test_examples_come_out_as_written(module: str) -> None:
    found = doctest.testmod(import_module(module))
    assert found.attempted
    assert not found.failed


@pytest.mark.parametrize("name", sgputt.__all__)
def test_every_name_of_the_interface_has_an_example(name: str) -> None:
    assert ">>> " in (getattr(sgputt, name).__doc__ or "")

"""Files that are bad on purpose or by chance: read, said, stored or not, and nothing vanishes."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.robust.make_corpus import CORPUS, files
from tests.robust.mutants import CARDS, hold_mutants, mutant
from tests.robust.rows import hold_reading

MUTANTS = 300
SAID = {
    "empty.csv": "the file is empty",
    "nul.csv": "this is not text",
    "nul-utf16.csv": "this is not text",
    "wide.csv": "there are more than 256 columns",
    "far-cell.xlsx": "there are more than 256 columns",
    "open-quote.csv": "Close the quote",
    "cut-off.xlsx": "it is damaged",
    "not-a-workbook.xlsx": "not an .xlsx workbook",
    "no-sheets.xlsx": "the workbook has no sheet with cells",
    "doctype.xlsx": "not as a spreadsheet writes it",
    "billion-rows.xlsx": "more than 100,000 rows",
    "row-twice.xlsx": "the workbook is damaged: row 2 is out of place",
    "cells-backwards.xlsx": "the workbook is damaged: A3 is out of place",
    "old.xls": "old .xls kind",
}
FINE = (
    "two-spellings.csv",
    "least.xlsx",
    "strings.xlsx",
    "last-row-formatted.xlsx",
    "wide-claim.xlsx",
)


@pytest.mark.parametrize("path", sorted(CORPUS.iterdir()), ids=lambda path: path.name)
def test_the_corpus(path: Path) -> None:
    reading = hold_reading(path.read_bytes(), path.name)
    said = "\n".join(map(str, reading.problems))
    assert SAID.get(path.name, "") in said
    if path.name in FINE:
        assert said == ""
        assert len(reading.rounds) == 1


def test_the_corpus_is_what_its_script_writes() -> None:
    texts = {name: content for name, content in files().items() if not name.endswith(".xlsx")}
    for name, content in texts.items():
        assert (CORPUS / name).read_bytes() == content
    assert {*files()} <= {path.name for path in CORPUS.iterdir()}


def test_the_cards_that_are_spoilt_are_good() -> None:
    for card in CARDS:
        assert hold_reading(card).problems == []


def test_mutants_vanish_neither_whole_nor_in_part(tmp_path: Path) -> None:
    ends = hold_mutants(MUTANTS, 20261125, tmp_path)
    assert ends.total() == MUTANTS
    assert len(ends) == 3 and min(ends.values()) > MUTANTS // 50


def test_a_mutant_is_the_same_every_time() -> None:
    texts = [number for number in range(40) if mutant(number, 3)[0].endswith(".csv")]
    assert all(mutant(number, 3) == mutant(number, 3) for number in texts)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.lists(st.text(max_size=12) | st.sampled_from(["1", "9", "hole", "-", "=x", "holed"])),
        max_size=8,
    ),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["utf-8", "utf-16", "cp1252"]),
)
def test_any_cells_at_all(rows: list[list[str]], separator: str, encoding: str) -> None:
    head = ["player", "hole", "putts", "putt1"]
    quoted = (
        separator.join('"' + cell.replace('"', '""') + '"' for cell in row)
        for row in [head, ["Ada Brook", "1", "1", "9"], *rows]
    )
    hold_reading("\n".join(quoted).encode(encoding, "replace"))

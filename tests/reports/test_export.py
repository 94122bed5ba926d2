"""Seasons and practice as Markdown, CSV, JSON and workbooks; charts as pictures."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.workbook import Workbook

from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.practice.brought import GROUPS, MeasuredSteps
from sgputt.practice.plan import make_plan
from sgputt.practice.session import Session, sessions_frame
from sgputt_cli.practice import plan_markdown
from sgputt_reports import export
from sgputt_reports import tables as forms
from sgputt_reports.charts import file_name
from sgputt_reports.export import practice_document, season_document
from sgputt_reports.season import season_page, season_pictures
from sgputt_reports.tables import Document, Table, all_figures, make_table, to_workbook
from tests.reports.cases import Case, make, putts

FORMULA = "=HYPERLINK(1)"
RUNS = tuple("=+-@\t\r")


def practice_log() -> pl.DataFrame:
    sets = [(date(2026, 5, day), 10 + day) for day in range(1, 6)]
    return sessions_frame(
        Session("Nell Achterberg", day, "circle-of-eight-3ft", 20, made) for day, made in sets
    )


def analysis_of(case: Case, **parts: object) -> SeasonAnalysis:
    """The analysis of a case, some of its parts replaced."""
    summary = case.summary
    found = analyse(case.scored, summary.player, summary.season, sessions=practice_log())
    vars(found).update(parts)
    return found


@pytest.fixture(scope="module")
def report(forty: Case) -> SeasonAnalysis:
    return analysis_of(forty)


@pytest.fixture(scope="module")
def document(report: SeasonAnalysis) -> Document:
    return season_document(report)


@pytest.fixture(scope="module")
def dangerous() -> Document:
    table = putts(3, FORMULA, "@SUM(1+1)|<b>").with_columns(pl.lit("-2+3").alias("event"))
    return season_document(analysis_of(make(table, FORMULA, "+1 | <i>2026</i>\n# big")))


def book_of(content: bytes) -> Workbook:
    return openpyxl.load_workbook(io.BytesIO(content))


def cells_of(markdown: str) -> list[list[str]]:
    """Rows of the tables, cut where a bar is not escaped."""
    rows = [line for line in markdown.splitlines() if line.startswith("|")]
    return [re.split(r"(?<!\\)\|", row)[1:-1] for row in rows]


def test_a_season_has_every_table_once_and_no_empty_one(document: Document) -> None:
    names = [table.name for table in document.tables]
    assert len(set(names)) == len(names)
    assert {"gained", "distances", "makes", "months", "misses", "priorities"} <= set(names)
    assert {"cells", "trend", "rounds_played", "stroke_parts", "worth", "best_and_worst"} <= set(
        names
    )
    assert all(table.frame.height for table in document.tables)


def test_markdown_starts_with_the_next_drill_and_is_whole(document: Document, forty: Case) -> None:
    text = forms.document_to_markdown(document).decode("utf-8")
    assert text.startswith("# Nell Achterberg: putting, 2026 season\n\n40 rounds, ")
    first = forty.priorities[0]
    assert text.index(first.drill.name) < text.index("| distance |")
    assert "Pass mark: " in text
    assert "Rule 4.3a" in text
    assert all(f"## {table.title}" in text for table in document.tables)
    assert not re.search(r"\bnan\b", text, re.IGNORECASE)
    assert "None" not in text


def test_every_row_of_a_markdown_table_has_as_many_cells(dangerous: Document) -> None:
    text = forms.document_to_markdown(dangerous).decode("utf-8")
    for block in re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE):
        assert len({len(row) for row in cells_of(block)}) == 1
    assert "<" not in text
    assert "\n# big" not in text
    assert r"@SUM(1+1)\|&lt;b&gt;" in text


@given(st.text(alphabet=st.characters(), max_size=60))
def test_escaped_text_stays_in_its_line_and_cell(text: str) -> None:
    escaped = forms.escaped(text)
    assert "<" not in escaped
    assert not re.search(r"(?<!\\)(\\\\)*\|", escaped)
    assert all(char.isprintable() or ord(char) > 0x9F for char in escaped)
    assert len(escaped.splitlines()) <= 1


def test_json_holds_the_tables_under_their_names(document: Document, forty: Case) -> None:
    found = json.loads(forms.to_json(forms.document_json(document)))
    assert found["player"] == "Nell Achterberg"
    assert found["rounds"] == len(found["rounds_played"]) == 40
    assert found["gained"][0]["value"] == pytest.approx(forty.summary.strokes_gained.value)
    assert found["distances"][2]["per_round"] == pytest.approx(
        forty.summary.by_distance["per_round"][2]
    )
    assert found["rounds_played"][0]["date"] == "2026-04-02"


def test_csv_of_a_season_is_one_table_of_figures(document: Document, forty: Case) -> None:
    content = forms.document_to_csv(document)
    table = pl.read_csv(io.BytesIO(content))
    assert table.columns == ["table", "line", "count", "value", "low", "high", "unit"]
    headline = table.row(0, named=True)
    assert headline["line"] == "strokes gained"
    assert headline["value"] == pytest.approx(forty.summary.strokes_gained.value)
    assert table["value"].null_count() == 0
    assert not table.select("table", "line", "unit").is_duplicated().any()


def test_csv_of_practice_is_a_row_a_drill(forty: Case) -> None:
    analysis = analysis_of(forty)
    document = practice_document(analysis)
    table = pl.read_csv(io.BytesIO(forms.document_to_csv(document)))
    assert table["drill"].to_list() == [each.drill.id for each in analysis.priorities]
    assert table["worth_per_round"].to_list() == pytest.approx(
        [each.worth_per_round for each in analysis.priorities], abs=1e-6
    )
    assert table["pass_mark"].to_list() == [each.pass_mark for each in analysis.priorities]


def test_without_any_drill_the_tables_are_empty(forty: Case) -> None:
    analysis = analysis_of(forty)
    vars(analysis)["decision"] = replace(analysis.decision, priorities=[], note="Nothing at all.")
    document = practice_document(analysis)
    assert "Nothing at all." in forms.document_to_markdown(document).decode("utf-8")
    assert forms.document_json(document)["priorities"] == []
    assert forms.document_to_csv(document).startswith(b"rank,")
    assert book_of(to_workbook(document.tables, document)).sheetnames == ["priorities", "about"]


def test_a_workbook_has_a_sheet_a_table_with_real_figures_and_dates(document: Document) -> None:
    book = book_of(to_workbook(document.tables, document))
    names = [table.name.replace("_", " ") for table in document.tables]
    assert book.sheetnames == [*names, "about"]
    for table in document.tables:
        sheet = book[table.name.replace("_", " ")]
        assert sheet.freeze_panes == "A2"
        assert sheet.max_row == table.frame.height + 1
        head = [cell.value for cell in sheet[1]]
        assert head == [column.title for column in table.columns]
        for row, written in zip(table.rows(), sheet.iter_rows(min_row=2), strict=True):
            for column, cell in zip(table.columns, written, strict=True):
                assert_same(row[column.name], column.kind, cell)


def assert_same(value: Any, kind: str, cell: Any) -> None:
    if value in (None, ""):
        assert cell.value is None
    elif kind == "day":
        assert cell.is_date
        assert cell.value == datetime(value.year, value.month, value.day)
    elif kind == "text":
        assert cell.data_type == "s"
        assert cell.value == value
    else:
        assert cell.data_type == "n"
        assert cell.value == pytest.approx(value)


def test_columns_are_wide_enough_for_their_figures(document: Document) -> None:
    book = book_of(to_workbook(document.tables))
    rounds = book["rounds played"]
    assert rounds.column_dimensions["A"].width > len("Nell Achterberg")
    assert 10 < rounds.column_dimensions["B"].width < 20


def test_no_text_runs_in_a_spreadsheet(dangerous: Document) -> None:
    book = book_of(to_workbook(dangerous.tables, dangerous))
    texts = set()
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type in ("s", "n", "d")
                if isinstance(cell.value, str) and cell.value.startswith(RUNS):
                    assert cell.quotePrefix
                    texts.add(cell.value)
    assert {FORMULA, "-2+3"} <= texts
    for table in dangerous.tables:
        written = pl.read_csv(io.BytesIO(forms.to_csv(table)), infer_schema=False)
        for column in table.columns:
            if column.kind == "text":
                assert not any(
                    written[column.name].drop_nulls().str.starts_with(run).any() for run in RUNS
                )
    assert f"'{FORMULA}" in forms.to_csv(dangerous.tables[-1]).decode()


def test_signs_that_a_workbook_cannot_hold_are_left_out() -> None:
    frame = pl.DataFrame({"course": ["a\x00b\x1f\ufffe\ud7ff", "\x07"]})
    book = book_of(to_workbook([make_table("rounds", "Rounds", frame, ["course"])]))
    assert book["rounds"]["A2"].value == "ab \ud7ff"


def test_putts_keep_the_names_by_which_they_are_read(forty: Case) -> None:
    table = export.putts_table(putts(1))
    assert [column.title for column in table.columns] == putts(1).columns
    content = forms.to_parquet(table)
    assert pl.read_parquet(io.BytesIO(content)).equals(putts(1).cast({pl.Enum: pl.String}))


def test_words_in_parquet_are_plain_text() -> None:
    """Outside check: pandas beside pyarrow before 23 reads no dictionary of unsigned numbers."""
    content = forms.to_parquet(export.putts_table(putts(1)))
    written = pq.read_table(io.BytesIO(content)).schema
    assert not any(pa.types.is_dictionary(kind) for kind in written.types)
    read = pd.read_parquet(io.BytesIO(content))
    assert read["slope"].to_list() == putts(1)["slope"].to_list()


def test_figures_without_an_interval_are_left_open(one: Case) -> None:
    document = season_document(analysis_of(one))
    text = forms.document_to_markdown(document).decode("utf-8")
    assert "| – | – |" in text
    figures = all_figures(document.tables).frame
    assert figures.filter(pl.col("table") == "Strokes gained by distance")["low"].null_count()
    assert b"NaN" not in forms.to_json(forms.document_json(document))


def test_every_chart_of_the_page_is_a_picture(report: SeasonAnalysis) -> None:
    page = season_page(report)
    questions = set(re.findall(r"<(?:h2|h3)>([^<]+)</", page))
    ids = re.findall(r'<figure class="chart" id="([^"]+)"', page)
    files = season_pictures(report)
    assert len(ids) >= 10
    assert {name.removesuffix(".svg") for name in files if name.endswith(".svg")} <= {
        file_name(question) for question in questions
    }
    assert len(files) == 2 * len(ids)


def test_pictures_stand_alone(report: SeasonAnalysis) -> None:
    drawn = season_pictures(report)
    assert list(drawn)[:2] == [
        "from-which-distances-do-strokes-go.svg",
        "from-which-distances-do-strokes-go.png",
    ]
    for name, content in drawn.items():
        if name.endswith(".png"):
            assert content.startswith(b"\x89PNG")
        else:
            text = content.decode("utf-8")
            assert text.startswith("<svg")
            assert "Nell Achterberg, 2026 season: 40 rounds" in text
            assert "<script" not in text
            assert "var(" not in text
            ElementTree.fromstring(text)


def test_hostile_names_are_only_text_in_a_picture(dangerous: Document, hostile: Case) -> None:
    for name, content in season_pictures(analysis_of(hostile)).items():
        if name.endswith(".svg"):
            assert b"<script" not in content
            assert b"&lt;script&gt;" in content


def test_a_table_of_no_rows_is_a_table_in_every_form() -> None:
    empty = Table("rounds", "Rounds", (), pl.DataFrame())
    for form in (forms.to_csv, forms.to_markdown, forms.to_parquet):
        form(empty)
    assert book_of(to_workbook([empty])).sheetnames == ["rounds"]


def test_what_a_step_is_stands_wherever_worth_does(forty: Case) -> None:
    twice = MeasuredSteps(dict.fromkeys(GROUPS, 2.0), dict.fromkeys(GROUPS, 3), 7, 2.0, 0.3)
    for measured, words in (
        (None, "the step is assumed: nobody has measured what a drill brings"),
        (twice, "moved by what practice has brought in this archive: read "),
    ):
        decision = forty.analysis.decide(measured=measured)
        case = forty.with_parts(decision=decision)
        plan = make_plan(decision, forty.analysis.drills, 60)
        texts = [
            case.season_page(),
            case.practice_page(),
            plan_markdown(plan, None, ""),
            *(
                forms.document_to_markdown(written(case.analysis)).decode("utf-8")
                for written in (practice_document, season_document)
            ),
        ]
        for text in texts:
            assert words in re.sub(r"\s+", " ", text)
        assert ("12 changes of 7 players" in decision.step) == (measured is not None)

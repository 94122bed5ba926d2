"""The square picture to share, and a season in a notebook."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from sgputt.analysis.comparison import compare
from sgputt.analysis.round import analyse_round
from sgputt.analysis.squad import analyse_squad
from sgputt.demo import demo_cards
from sgputt.errors import SgputtError
from sgputt_cli.main import cli
from sgputt_reports.share import round_picture, season_picture
from tests.reports.cases import Case


def texts(svg: bytes) -> str:
    tree = ElementTree.fromstring(svg.decode())
    return " ".join(" ".join(tree.itertext()).replace("\u00a0", " ").split())


def test_a_season_is_a_square_with_headline_chart_and_next_drill(forty: Case) -> None:
    png = season_picture(forty.analysis, "png")
    assert struct.unpack(">II", png[16:24]) == (1080, 1080)
    said = texts(season_picture(forty.analysis, "svg"))
    for words in ("strokes gained a round", "Nell Achterberg", "40 rounds", "Next drill: "):
        assert words in said
    assert forty.priorities[0].drill.name.split()[0] in said


def test_names_are_left_out_where_not_wanted(forty: Case, one: Case) -> None:
    said = texts(season_picture(forty.analysis, "svg", names=False))
    assert "Achterberg" not in said
    played = analyse_round(one.scored, forty.analysis)
    assert "Kestrel Down" in texts(round_picture(played, "svg"))
    hidden = texts(round_picture(played, "svg", names=False, shown_in="metres"))
    assert "Kestrel" not in hidden
    assert "Achterberg" not in hidden
    assert " ft" not in hidden


def test_hostile_names_are_text_in_a_picture(hostile: Case) -> None:
    svg = season_picture(hostile.analysis, "svg")
    assert b"<script" not in svg
    ElementTree.fromstring(svg.decode())


def test_a_notebook_shows_what_the_season_says_and_hands_out_its_charts(forty: Case) -> None:
    shown = forty.analysis._repr_html_()
    assert shown.startswith("<h3>Nell Achterberg, 2026 season</h3>")
    assert "Next drill: " in shown
    assert shown.count("<svg") == 3
    assert "<script" not in shown
    names = forty.analysis.chart_names
    assert "makes by length" in names
    chart = forty.analysis.chart("makes by length")
    assert chart.to_dict()["layer"]
    with pytest.raises(SgputtError, match="There is no chart 'pie'"):
        forty.analysis.chart("pie")


def test_a_notebook_shows_rounds_squads_and_comparisons_too(forty: Case, one: Case) -> None:
    squad = analyse_squad({"Nell Achterberg": forty.scored, "Ada Brook": one.scored})
    halves = compare(one.scored, forty.scored, ("spring", "summer"))
    shown = [
        (analyse_round(one.scored, one.analysis), "strokes by hole", "strokes gained in"),
        (squad, "strokes by player", "Squad, 2 players"),
        (halves, "difference by distance", "summer less spring"),
    ]
    for analysis, name, said in shown:
        assert name in analysis.chart_names
        assert analysis.chart(name).to_dict()["layer"]
        html = analysis._repr_html_()
        assert said in html
        assert html.count("<svg") == len(analysis.chart_names)
        assert "<script" not in html
        with pytest.raises(SgputtError, match="There is no chart 'pie'"):
            analysis.chart("pie")


def test_a_notebook_says_when_a_chart_has_nothing_in_it(one: Case) -> None:
    with pytest.raises(SgputtError, match="There is nothing to draw in 'trend'") as raised:
        one.analysis.chart("trend")
    assert "strokes by distance" in raised.value.hint


def test_commands_write_the_picture_that_its_name_asks_for(tmp_path: Path) -> None:
    archive = ["--archive", str(tmp_path / "a.sqlite")]
    demo_cards(tmp_path)
    cards = map(str, sorted(tmp_path.glob("*.csv")))
    runner = CliRunner()
    assert runner.invoke(cli, ["import", *archive, *cards]).exit_code == 0
    for words in (["season"], ["round"]):
        path = tmp_path / f"{words[0]}.svg"
        asked = [*words, *archive, "--picture", str(path), "--no-names"]
        done = runner.invoke(cli, asked)
        assert done.exit_code == 0, done.output
        assert f"Wrote {path}" in done.output
        assert "Lindqvist" not in texts(path.read_bytes())
    wrong = runner.invoke(cli, ["season", *archive, "--picture", str(tmp_path / "season.pdf")])
    assert wrong.exit_code == 2
    assert re.search(r"season\.pdf.*End it in \.png, \.svg", wrong.output)


@pytest.mark.parametrize("name", ["circle.html", "circle.svg"])
def test_a_drill_is_written_as_its_name_asks(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    asked = ["drills", "circle-of-eight-5ft", "--archive", str(tmp_path / "a.sqlite")]
    done = CliRunner().invoke(cli, [*asked, "--out", str(path)])
    assert done.exit_code == 0, done.output
    assert f"Wrote {path}" in done.output
    assert "5" in path.read_text(encoding="utf-8")
    wrong = CliRunner().invoke(cli, [*asked, "--out", str(tmp_path / "circle.doc")])
    assert wrong.exit_code == 2
    assert "End it in .html, .png, .svg" in wrong.output

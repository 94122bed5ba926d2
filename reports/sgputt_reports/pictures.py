"""Charts as pictures that stand alone: each with its question, its answer and whose it is."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Sequence
from functools import cache
from typing import Any

import vl_convert
from markupsafe import Markup

from sgputt_reports import format as fmt
from sgputt_reports.by_round import parts_plot, trend_plot
from sgputt_reports.drawing import INK, SHEET, UNCLEAR, Spec
from sgputt_reports.export import played
from sgputt_reports.export_tables import SeasonReport
from sgputt_reports.misses import misses_section
from sgputt_reports.page import TEMPLATES, Figure
from sgputt_reports.plot import Plot
from sgputt_reports.season import distance_figure
from sgputt_reports.shape import leaves_plot, makes_plot, rose_plot
from sgputt_reports.stroke import stroke_section

_WIDTH_PX, _LETTERS_IN_A_LINE = 620, 112
# Drawings are made for a telephone; a little larger their letters are those of the charts.
_PLOT_SCALE, _LETTERS_OVER_A_PLOT = 1.3, 84
_PADDING_PX = 18
_TITLE_PX, _WORDS_PX, _LINE_PX = 17, 12, 16
_FONTS = "Liberation Sans, Arial, Helvetica, sans-serif"
_SIZE = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
_COLOUR = re.compile(r"--([a-z-]+): (#[0-9a-f]+)")
_VARIABLE = re.compile(r"var\(--([a-z-]+)\)")
_PIXELS_A_PIXEL = 2.0
# The small arrows are in few fonts, and one such sign gives its whole text another font.
_IN_MOST_FONTS = str.maketrans("\u25c2\u25b8\u25b4\u25be", "\u25c4\u25ba\u25b2\u25bc")


def season_figures(report: SeasonReport) -> list[Figure | Plot]:
    """The charts of a season, in the order of its page."""
    summary, evidence = report.summary, report.evidence
    level = summary.strokes_gained.level
    misses = misses_section(report.misses, summary.rounds)
    stroke = stroke_section(report.stroke)
    known = len(evidence.makes) > 0
    drawn: list[Figure | Plot | None] = [
        distance_figure(summary.by_distance, level, summary.rounds),
        makes_plot(evidence.makes, evidence.curve, summary.against.title) if known else None,
        leaves_plot(evidence.leaves) if known else None,
        misses["chart"] if misses else None,
        rose_plot(evidence.finishes) if len(evidence.finishes) else None,
        stroke["chart"] if stroke else None,
        trend_plot(evidence.trend),
        parts_plot(summary),
    ]
    return [each for each in drawn if each is not None]


def season_pictures(report: SeasonReport) -> dict[str, bytes]:
    """The charts of a season as files: each as .svg and .png under the question it answers."""
    summary = report.summary
    whose = f"{summary.player}, {summary.season}: {played(summary)}"
    return pictures(season_figures(report), whose)


def pictures(figures: Sequence[Figure | Plot], whose: str) -> dict[str, bytes]:
    """Draw charts, each twice; the content of each file by its name.

    Parameters
    ----------
    figures : sequence of Figure or Plot
    whose : str
        Whose rounds they are, written below the question.
    """
    drawn = {}
    for figure in figures:
        name = file_name(figure.question)
        svg = plot_alone(figure, whose) if isinstance(figure, Plot) else chart_alone(figure, whose)
        drawn[f"{name}.svg"] = svg.encode("utf-8")
        drawn[f"{name}.png"] = vl_convert.svg_to_png(svg, scale=_PIXELS_A_PIXEL)
    return drawn


def file_name(question: str) -> str:
    """A question as the name of a file.

    Examples
    --------
    >>> file_name("From which distances do strokes go?")
    'from-which-distances-do-strokes-go'
    """
    return re.sub(r"[^a-z0-9]+", "-", question.casefold()).strip("-")


def chart_alone(figure: Figure, whose: str) -> str:
    """A chart as SVG of fixed width, on white, with its words above it."""
    texts = (whose, figure.words, figure.key)
    title: dict[str, Any] = {
        "text": figure.question,
        "subtitle": [line for text in texts for line in _lines(text, _LETTERS_IN_A_LINE)],
        "anchor": "start",
        "frame": "bounds",
        "color": INK,
        "subtitleColor": UNCLEAR,
        "fontSize": _TITLE_PX,
        "subtitleFontSize": _WORDS_PX,
        "subtitleLineHeight": _LINE_PX,
        "subtitlePadding": 8,
        "offset": 26,
    }
    chart: Spec = json.loads(json.dumps(figure.spec, ensure_ascii=False).translate(_IN_MOST_FONTS))
    spec = {
        **chart,
        "title": title,
        "width": _WIDTH_PX,
        "padding": _PADDING_PX,
        "background": SHEET,
        "autosize": {"type": "pad"},
        "config": {**chart.get("config", {}), "background": SHEET},
    }
    svg: str = vl_convert.vegalite_to_svg(spec)
    return svg


def plot_alone(plot: Plot, whose: str) -> str:
    """A drawing as SVG with the page's colours in it, on white, with its words above it."""
    lines = [
        line
        for text in (whose, plot.words, plot.key)
        for line in _lines(text, _LETTERS_OVER_A_PLOT)
    ]
    inner = _SIZE.search(plot.svg)
    assert inner is not None
    width, height = (_PLOT_SCALE * float(side) for side in inner.groups())
    head = _PADDING_PX + _TITLE_PX + 22 + _LINE_PX * len(lines)
    texts = [
        _text(_PADDING_PX + _TITLE_PX, plot.question, _TITLE_PX, INK, "700"),
        *(
            _text(_PADDING_PX + _TITLE_PX + 8 + _LINE_PX * at, line, _WORDS_PX, UNCLEAR, "400")
            for at, line in enumerate(lines, start=1)
        ),
    ]
    body = Markup('<svg x="{}" y="{}" width="{}" height="{}"').format(
        _PADDING_PX, head, width, height
    ) + Markup(plot.svg.translate(_IN_MOST_FONTS)).removeprefix("<svg")
    return str(
        Markup(
            '<svg xmlns="http://www.w3.org/2000/svg" class="plot" width="{0}" height="{1}"'
            ' viewBox="0 0 {0} {1}" font-family="{2}" font-size="13"><style>{3}</style>'
            '<rect width="{0}" height="{1}" fill="{4}"/>{5}{6}</svg>'
        ).format(
            width + 2 * _PADDING_PX,
            head + height + _PADDING_PX,
            _FONTS,
            Markup(_style()),
            SHEET,
            Markup("").join(texts),
            body,
        )
    )


def _text(y: float, text: str, size: int, colour: str, weight: str) -> Markup:
    return Markup(
        '<text x="{}" y="{}" style="fill:{};font-size:{}px;font-weight:{}">{}</text>'
    ).format(_PADDING_PX, y, colour, size, weight, text)


@cache
def _style() -> str:
    """What the page's style says of drawings, in the colours of daylight."""
    style = (TEMPLATES / "style.css").read_text(encoding="utf-8")
    colours = dict(_COLOUR.findall(style.partition("}")[0]))
    rules = [
        line for line in style.splitlines() if line.startswith(".plot ") and " svg" not in line
    ]
    return _VARIABLE.sub(lambda found: colours[found[1]], "\n".join(rules))


def _lines(text: str, letters: int) -> list[str]:
    return textwrap.wrap(fmt.clean(text), letters)

"""Charts as pictures that stand alone: each with its question, its answer and whose it is."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Sequence
from typing import Any

import vl_convert

from sgputt_reports import format as fmt
from sgputt_reports.drawing import INK, SHEET, UNCLEAR, Spec
from sgputt_reports.export import played
from sgputt_reports.export_tables import SeasonReport
from sgputt_reports.misses import misses_section
from sgputt_reports.page import Figure
from sgputt_reports.season import distance_figure
from sgputt_reports.stroke import stroke_section

_WIDTH_PX, _LETTERS_IN_A_LINE = 620, 112
_PADDING_PX = 18
_PIXELS_A_PIXEL = 2.0
# The small arrows are in few fonts, and one such sign gives its whole text another font.
_IN_MOST_FONTS = str.maketrans("\u25c2\u25b8", "\u25c4\u25ba")


def season_figures(report: SeasonReport) -> list[Figure]:
    """The charts of a season, in the order of its page."""
    summary = report.summary
    level = summary.strokes_gained.level
    sections = (misses_section(report.misses, summary.rounds), stroke_section(report.stroke))
    charts = [section["chart"] for section in sections if section is not None]
    return [
        distance_figure(summary.by_distance, level, summary.rounds),
        *(chart for chart in charts if chart is not None),
    ]


def season_pictures(report: SeasonReport) -> dict[str, bytes]:
    """The charts of a season as files: each as .svg and .png under the question it answers."""
    summary = report.summary
    whose = f"{summary.player}, {summary.season}: {played(summary)}"
    return pictures(season_figures(report), whose)


def pictures(figures: Sequence[Figure], whose: str) -> dict[str, bytes]:
    """Draw charts, each twice; the content of each file by its name.

    Parameters
    ----------
    figures : sequence of Figure
    whose : str
        Whose rounds they are, written below the question.
    """
    drawn = {}
    for figure in figures:
        name, spec = file_name(figure.question), alone(figure, whose)
        drawn[f"{name}.svg"] = vl_convert.vegalite_to_svg(spec).encode("utf-8")
        drawn[f"{name}.png"] = vl_convert.vegalite_to_png(spec, scale=_PIXELS_A_PIXEL)
    return drawn


def file_name(question: str) -> str:
    """A question as the name of a file.

    Examples
    --------
    >>> file_name("From which distances do strokes go?")
    'from-which-distances-do-strokes-go'
    """
    return re.sub(r"[^a-z0-9]+", "-", question.casefold()).strip("-")


def alone(figure: Figure, whose: str) -> Spec:
    """The chart's specification, of fixed width, on white, with its words above it."""
    texts = (whose, figure.words, figure.key)
    lines = [line for text in texts for line in _lines(text)]
    title: dict[str, Any] = {
        "text": figure.question,
        "subtitle": lines,
        "anchor": "start",
        "frame": "bounds",
        "color": INK,
        "subtitleColor": UNCLEAR,
        "fontSize": 17,
        "subtitleFontSize": 12,
        "subtitleLineHeight": 16,
        "subtitlePadding": 8,
        "offset": 26,
    }
    chart: Spec = json.loads(json.dumps(figure.spec, ensure_ascii=False).translate(_IN_MOST_FONTS))
    return {
        **chart,
        "title": title,
        "width": _WIDTH_PX,
        "padding": _PADDING_PX,
        "background": SHEET,
        "autosize": {"type": "pad"},
        "config": {**chart.get("config", {}), "background": SHEET},
    }


def _lines(text: str) -> list[str]:
    return textwrap.wrap(fmt.clean(text), _LETTERS_IN_A_LINE)

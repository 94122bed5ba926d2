"""One square picture to share: a headline, one chart, the next drill; names only if wanted."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import Any

from sgputt.analysis.round import RoundAnalysis
from sgputt.analysis.season import SeasonAnalysis
from sgputt.errors import SgputtError
from sgputt.putts.units import said_in_metres
from sgputt.safe_text import on_a_page
from sgputt.wording import day, estimate, plural, signed, tidy
from sgputt_reports.charts import (
    CONFIG,
    INK,
    SHEET,
    SOFT,
    VERDICT_COLOURS,
    Chart,
    specification,
    verdict,
)
from sgputt_reports.drawing import as_png, draw
from sgputt_reports.round import holes_chart
from sgputt_reports.season_charts import season_charts

SIDE_PX = 540
_LETTERS_IN_A_LINE = 58
_LEAST_TOLD = 0.05
FORMS = ("png", "svg")


def season_picture(
    analysis: SeasonAnalysis, form: str, names: bool = True, shown_in: str = "feet"
) -> bytes:
    """A season as a square picture.

    Parameters
    ----------
    analysis : SeasonAnalysis
    form : str
        ``png`` or ``svg``.
    names : bool
        Whether it names the player.
    shown_in : str
        ``feet`` or ``metres``.

    Raises
    ------
    SgputtError
        No putt of these rounds counts, so there is nothing to draw.
    """
    if not analysis.counts:
        raise _nothing_to_draw()
    gained = analysis.summary.strokes_gained
    whose = [analysis.player] if names else []
    about = ", ".join((*whose, analysis.season, plural(analysis.rounds, "round")))
    [chart] = season_charts(analysis, ["strokes by distance"], shown_in).values()
    told = verdict(gained.low, gained.high)
    headline = f"{estimate(gained)} strokes gained a round"
    against = f"Against: {analysis.summary.against.title}"
    lines = [about, against, *_next_drill(analysis)]
    return _picture(chart, headline, told, lines, form, shown_in)


def round_picture(
    analysis: RoundAnalysis, form: str, names: bool = True, shown_in: str = "feet"
) -> bytes:
    """A round as a square picture; parameters and errors as :func:`season_picture`.

    Without names it says neither the player nor the course and event.
    """
    report = analysis.report
    if not analysis.counts:
        raise _nothing_to_draw()
    gained = report.strokes_gained
    told = "unclear" if abs(gained) < _LEAST_TOLD else "gain" if gained > 0 else "loss"
    whose = [report.player, report.course] if names else []
    about = ", ".join(
        (*whose, day(report.date), plural(report.putts, "putt"), plural(report.holes, "hole"))
    )
    lines = [about, f"Against: {report.against.title}", *_next_drill(analysis.season)]
    headline = f"{signed(gained, 1)} strokes gained"
    return _picture(holes_chart(report.holes_table), headline, told, lines, form, shown_in)


def _nothing_to_draw() -> SgputtError:
    return SgputtError(
        "There is nothing to draw: no putt of these rounds counts for strokes gained.",
        "Write the length of every first putt, then import the round again.",
    )


def _next_drill(analysis: SeasonAnalysis) -> list[str]:
    if not analysis.priorities:
        return []
    first = analysis.priorities[0]
    mark = first.pass_mark.split(": ", 1)[0].removesuffix(".")
    return [f"Next drill: {tidy(first.drill.name)}", f"Pass mark: {tidy(mark)}"]


def _picture(
    chart: Chart, headline: str, told: str, lines: Sequence[str], form: str, shown_in: str
) -> bytes:
    """The chart under its headline, in a square of fixed size."""
    spec = specification(chart.altair)
    spec.pop("padding", None)
    spec = _texts_changed(spec, _one_line)
    if shown_in == "metres":
        lines = [said_in_metres(line) for line in lines]
        spec = _texts_changed(spec, said_in_metres)
    wrapped = [
        part for line in lines for part in textwrap.wrap(on_a_page(line), _LETTERS_IN_A_LINE)
    ]
    whole = {
        **spec,
        "width": SIDE_PX,
        "height": SIDE_PX,
        "title": {
            "text": headline,
            "subtitle": [*wrapped, "\u00a0", chart.question],
            "anchor": "start",
            "frame": "bounds",
            "color": VERDICT_COLOURS.get(told, INK) if told != "unclear" else INK,
            "subtitleColor": SOFT,
            "fontSize": 30,
            "subtitleFontSize": 15,
            "subtitleLineHeight": 20,
            "subtitlePadding": 10,
            "offset": 22,
        },
        "config": {**CONFIG, "background": SHEET, "padding": 28},
    }
    svg = draw(whole)
    if form == "svg":
        return svg.encode("utf-8")
    return as_png(svg)


def _one_line(text: str) -> str:
    """A label's first line alone: rows stand closer than in a page."""
    return text.replace("split(datum.label, '|')", "split(datum.label, '|')[0]")


def _texts_changed(value: Any, change: Callable[[str], str]) -> Any:
    """A specification with every text in it changed."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {key: _texts_changed(each, change) for key, each in value.items()}
    if isinstance(value, list):
        return [_texts_changed(each, change) for each in value]
    return value

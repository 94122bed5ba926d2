"""Analyses in a notebook: what each says first, and its charts as Altair charts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import altair as alt
from markupsafe import Markup

from sgputt.analysis.comparison import Comparison
from sgputt.analysis.round import RoundAnalysis
from sgputt.analysis.season import SeasonAnalysis
from sgputt.analysis.squad import SquadAnalysis
from sgputt.errors import SgputtError
from sgputt.safe_text import on_a_page
from sgputt.wording import (
    NOTHING_COUNTS,
    day,
    digits_for,
    estimate,
    first_up,
    percent,
    plural,
    reached,
    signed,
    tidy,
)
from sgputt_reports.charts import (
    Chart,
    Span,
    ends_around,
    spans_chart,
    specification,
    verdict,
)
from sgputt_reports.drawing import draw
from sgputt_reports.round import holes_chart
from sgputt_reports.season_charts import CHART_NAMES, distance_chart, season_charts
from sgputt_reports.squad import players_chart

Analysis = SeasonAnalysis | RoundAnalysis | SquadAnalysis | Comparison
_SHOWN = ("strokes by distance", "why putts miss", "where misses finish")


def chart(analysis: Analysis, name: str) -> alt.LayerChart:
    """A chart of an analysis, to be shown or changed.

    Raises
    ------
    SgputtError
        There is no such chart, or nothing to draw in it; names those there are.
    """
    found = _charts(analysis, [name])
    if name in found:
        return found[name].themed()
    drawn = f"Drawn are: {', '.join(names(analysis)) or 'none'}."
    if isinstance(analysis, SeasonAnalysis) and name in CHART_NAMES:
        raise SgputtError(f"There is nothing to draw in '{name}'", drawn)
    raise SgputtError(f"There is no chart '{name}'", drawn)


def names(analysis: Analysis) -> tuple[str, ...]:
    """Charts that there is something to draw in."""
    return tuple(_charts(analysis))


def html(analysis: Analysis) -> str:
    """The first things an analysis says, as a piece of HTML without style or script."""
    said = [tidy(text) for text in _said(analysis) if text]
    head = Markup("<h3>{}</h3>").format(on_a_page(said[0]))
    texts = Markup("").join(Markup("<p>{}</p>").format(on_a_page(each)) for each in said[1:])
    wanted = _SHOWN if isinstance(analysis, SeasonAnalysis) else None
    charts = _charts(analysis, wanted)
    drawn = Markup("").join(
        Markup(
            '<figure style="display:inline-block"><figcaption>{}</figcaption>{}</figure>'
        ).format(each.question, Markup(draw(specification(each.altair))))
        for each in charts.values()
    )
    listed = ", ".join(CHART_NAMES if isinstance(analysis, SeasonAnalysis) else charts)
    about = f"Charts: analysis.chart(name), with one of {listed}." if charts else ""
    return str(head + texts + drawn + Markup("<p><small>{}</small></p>").format(about))


def _charts(analysis: Analysis, wanted: Sequence[str] | None = None) -> dict[str, Chart]:
    if isinstance(analysis, SeasonAnalysis):
        known = None if wanted is None else [each for each in wanted if each in CHART_NAMES]
        return season_charts(analysis, known) if analysis.counts else {}
    if isinstance(analysis, RoundAnalysis):
        if not analysis.counts:
            return {}
        return {
            "strokes by hole": holes_chart(analysis.report.holes_table),
            "strokes by distance": distance_chart(analysis.by_distance),
        }
    if isinstance(analysis, SquadAnalysis):
        return {"strokes by player": players_chart(analysis.squad.members)}
    return {"difference by distance": _differences_chart(analysis)}


def _said(analysis: Analysis) -> Iterator[str]:
    """Its heading, then a paragraph each."""
    if isinstance(analysis, SeasonAnalysis):
        yield from _of_a_season(analysis)
    elif isinstance(analysis, RoundAnalysis):
        report = analysis.report
        yield f"{report.player}, {day(report.date)}, {report.course}"
        yield (
            f"{signed(report.strokes_gained, 1)} strokes gained in {plural(report.holes, 'hole')}, "
            f"{plural(report.putts, 'putt')}, against {report.against.title}. One round shows what "
            "happened, luck included."
            if analysis.counts
            else NOTHING_COUNTS
        )
    elif isinstance(analysis, SquadAnalysis):
        squad = analysis.squad
        yield f"Squad, {plural(len(squad.members), 'player')}"
        yield first_up(squad.headline)
        yield squad.changes
        for group in squad.groups:
            yield f"{group.drill.name}: {', '.join(group.players)}."
    else:
        first, second = analysis.first, analysis.second
        yield f"{second.name} less {first.name}"
        digits = digits_for(analysis.low, analysis.high)
        sure = _sure(analysis.low, analysis.high, analysis.level)
        yield f"{signed(analysis.difference, digits)} strokes gained a round{sure}."
        yield analysis.words


def _of_a_season(analysis: SeasonAnalysis) -> Iterator[str]:
    yield f"{analysis.player}, {analysis.season}"
    if not analysis.counts:
        yield NOTHING_COUNTS
        return
    gained = analysis.summary.strokes_gained
    yield (
        f"{plural(analysis.rounds, 'round')}: {estimate(gained)} strokes gained a round"
        f"{_sure(gained.low, gained.high, analysis.level)}, against "
        f"{analysis.summary.against.title}."
    )
    yield from (each.text for each in analysis.stroke.told)
    if analysis.priorities:
        first = analysis.priorities[0]
        yield f"Next drill: {first.drill.name}. {first_up(first.why)}."


def _sure(low: float | None, high: float | None, level: float) -> str:
    ends = reached(low, high)
    return f" ({percent(level)} sure: {ends})" if ends else ""


def _differences_chart(compared: Comparison) -> Chart:
    """The second's strokes gained less the first's, a row a distance."""
    spans = [
        Span(
            f"{tidy(row['label'])}|{row['putts_first']:,} and {row['putts_second']:,}",
            row["difference"],
            row["low"],
            row["high"],
            signed(row["difference"]),
            verdict(row["low"], row["high"]) if row["told"] else "unclear",
        )
        for row in compared.bands.iter_rows(named=True)
    ]
    told = "; ".join(f"{each.label.partition('|')[0]} {each.shown}" for each in spans)
    return Chart(
        id="difference",
        question="Where do they differ?",
        words=f"Strokes gained a round, {on_a_page(compared.second.name)} less "
        f"{on_a_page(compared.first.name)}: {told}.",
        caption=f"Line: {percent(compared.level)} sure. Hollow: could be luck.",
        altair=spans_chart(spans, "difference, strokes a round", ends_around(spans)),
    )

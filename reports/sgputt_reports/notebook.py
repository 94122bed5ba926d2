"""A season in a notebook: what it says first, and its charts as Altair charts."""

from __future__ import annotations

import altair as alt
from markupsafe import Markup

from sgputt.analysis.season import SeasonAnalysis
from sgputt.errors import SgputtError
from sgputt.wording import NOTHING_COUNTS
from sgputt_reports.charts import draw, specification
from sgputt_reports.format import clean, count, estimate, first_up, interval, percent, tidy
from sgputt_reports.season_charts import CHART_NAMES, season_charts

_SHOWN = ("strokes by distance", "why putts miss", "where misses finish")


def chart(analysis: SeasonAnalysis, name: str) -> alt.LayerChart:
    """A chart of a season, to be shown or changed.

    Raises
    ------
    SgputtError
        There is no such chart, or nothing to draw in it; names those there are.
    """
    found = season_charts(analysis, [name])
    if name not in found:
        raise SgputtError(
            f"There is nothing to draw in '{name}'", f"Drawn are: {', '.join(names(analysis))}."
        )
    return found[name].themed()


def names(analysis: SeasonAnalysis) -> tuple[str, ...]:
    """Charts that there is something to draw in."""
    return tuple(season_charts(analysis)) if analysis.counts else ()


def html(analysis: SeasonAnalysis) -> str:
    """The first things a season says, as a piece of HTML without style or script."""
    summary = analysis.summary
    head = Markup("<h3>{}, {}</h3>").format(clean(analysis.player), clean(analysis.season))
    if not analysis.counts:
        return str(head + Markup("<p>{}</p>").format(NOTHING_COUNTS))
    gained = summary.strokes_gained
    reached = interval(gained.low, gained.high)
    sure = f" ({percent(analysis.level)} sure: {reached})" if reached else ""
    said = [
        f"{count(analysis.rounds, 'round')}: {estimate(gained)} strokes gained a round{sure}, "
        f"against {summary.against.title}.",
        *(f"{each.text}" for each in analysis.stroke.told),
    ]
    if analysis.priorities:
        first = analysis.priorities[0]
        said.append(f"Next drill: {first.drill.name}. {first_up(first.why)}.")
    texts = Markup("").join(Markup("<p>{}</p>").format(clean(tidy(each))) for each in said)
    drawn = Markup("").join(
        Markup(
            '<figure style="display:inline-block"><figcaption>{}</figcaption>{}</figure>'
        ).format(each.question, Markup(draw(specification(each.altair))))
        for each in season_charts(analysis, _SHOWN).values()
    )
    about = f"Charts: analysis.chart(name), with one of {', '.join(CHART_NAMES)}."
    return str(head + texts + drawn + Markup("<p><small>{}</small></p>").format(about))

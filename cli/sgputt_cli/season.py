"""A season at the terminal."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path

from sgputt.analysis.season import SeasonAnalysis
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.season.summary import Figures, SeasonSummary, Share
from sgputt.season.trend import RoundStory
from sgputt.wording import NOTHING_COUNTS, interval, plural, signed
from sgputt_cli.narrowing import Which
from sgputt_cli.output import (
    form_of_picture,
    named,
    say,
    say_lengths_in,
    table,
    write_file,
    write_json,
    write_picture,
)
from sgputt_cli.practice import say_decision
from sgputt_cli.selection import select_season
from sgputt_cli.shared import Shared
from sgputt_cli.stroke import say_habits, say_misses

_MOST_MONTHS = 6
_MOST_PARTS = 2


def write_season(
    shared: Shared,
    year: int | None = None,
    which: Which | None = None,
    out: Path | None = None,
    picture: Path | None = None,
    names: bool = True,
) -> None:
    """Print a season, or write it as JSON, and write its page or picture where one is named."""
    form = None if picture is None else form_of_picture(picture)
    beside = ThreadPoolExecutor(1)
    if out is not None:
        from sgputt_reports.drawing import get_ready

        get_ready()
        beside.submit(import_module, "sgputt_reports.season")
    say_lengths_in(shared.settings().shown_in)
    analysis = select_season(shared, year, which)
    if out is not None and analysis.fit is not None:
        # What to practise and why putts missed both rest on the fit, not on each other.
        beside.submit(getattr, analysis, "decision")
    if shared.as_json:
        write_json(analysis.as_dict())
    else:
        say_season(analysis)
    if out is not None:
        from sgputt_reports.season import season_page

        page = season_page(analysis, shared.settings().shown_in)
        write_file(out, page, quiet=shared.as_json)
    if picture is not None and form is not None:
        from sgputt_reports.share import season_picture

        drawn = season_picture(analysis, form, names, shared.settings().shown_in)
        write_picture(picture, drawn, quiet=shared.as_json)


def say_season(analysis: SeasonAnalysis) -> None:
    """Where, when and why strokes went, and what to practise next."""
    summary = analysis.summary
    _say_summary(summary, analysis.counts)
    _say_figures(analysis.figures)
    if not analysis.counts:
        return
    _show_distances(summary)
    _say_course_of(analysis)
    _say_stroke(analysis)
    say_decision(analysis.decision)


def _say_summary(summary: SeasonSummary, counts: bool) -> None:
    gained = summary.strokes_gained
    played = f"{plural(summary.rounds, 'round')}, {plural(summary.holes, 'hole')}"
    say(f"{summary.player}, {summary.season}: {played}")
    if not counts:
        say(NOTHING_COUNTS)
        return
    say(
        f"Strokes gained a round against {named(summary.against)}: {signed(gained.value)}"
        f" (90 % interval {interval(gained.low, gained.high)})"
    )
    say(f"Holing {signed(summary.holing.value)}, leaves {signed(summary.leave.value)}")
    say(
        f"{summary.putts_per_round:.1f} putts and {summary.three_putts_per_round:.1f}"
        " three-putts a round of 18 holes"
    )


def _say_figures(found: Figures) -> None:
    """Plain figures in a line or two."""
    least = "at least " if found.holed_without_length else ""
    texts = [
        f"One putt on {_percent(found.one_putts)} of holes",
        f"three or more on {_percent(found.three_putts)}",
        f"{least}{found.feet_holed_per_round.value:.0f} ft holed a round",
    ]
    if found.first_putt_ft is not None:
        texts.append(f"first putts {found.first_putt_ft:.0f} ft on average")
    say(f"{', '.join(texts)}.")


def _percent(share: Share) -> str:
    return f"{100 * share.value:.0f} % ({100 * share.low:.0f} to {100 * share.high:.0f})"


def _show_distances(summary: SeasonSummary) -> None:
    table(
        "Strokes gained a round by distance",
        ["distance", "putts", "gained", "90 % interval"],
        [
            (
                row["distance"],
                str(row["putts"]),
                signed(row["per_round"]),
                interval(row["low"], row["high"]),
            )
            for row in summary.by_distance.iter_rows(named=True)
            if row["putts"]
        ],
    )


def _say_course_of(analysis: SeasonAnalysis) -> None:
    """Lately, by month, the best and the worst round: a line each."""
    last = analysis.trend.row(-1, named=True)
    if analysis.rounds > last["over"]:
        spread = interval(last["low"], last["high"])
        say(f"Last {plural(last['over'], 'round')}: {signed(last['mean'])} a round ({spread}).")
    months = analysis.breakdowns["months"].tail(_MOST_MONTHS)
    if months.height > 1:
        each = (
            f"{label} {signed(value)}"
            for label, value in months.select("label", "per_round").rows()
        )
        say(f"By month: {', '.join(each)}.")
    for word, stories in (("Best", analysis.best), ("Worst", analysis.worst)):
        if stories:
            say(_story(word, stories[0]))


def _say_stroke(analysis: SeasonAnalysis) -> None:
    """What misses were and the habits that are told, in a few lines."""
    stroke = analysis.stroke
    if stroke.too_few:
        return
    say_misses(stroke)
    say_habits(stroke)
    say("The stroke in its parts, and what a better one would bring: sgputt stroke")


def _story(word: str, story: RoundStory) -> str:
    parts = [
        f"{row['component']} {row['distance']} {signed(row['difference'])}"
        for row in story.parts.head(_MOST_PARTS).iter_rows(named=True)
    ]
    why = f"; beside your usual {', '.join(parts)}" if parts else ""
    short = "" if story.holes == HOLES_IN_A_ROUND else f" as of 18 holes ({story.holes} played)"
    return f"{word} round {story.date} {signed(story.per_round)}{short}{why}."

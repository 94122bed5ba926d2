"""A season, one round and a player's stroke at the terminal."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from sgputt.analysis.round import RoundReport
from sgputt.analysis.season import SeasonAnalysis
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.season.summary import SeasonSummary, Share
from sgputt.season.trend import RoundStory
from sgputt.stroke.causes import StrokeCauses, StrokePart
from sgputt.wording import NOTHING_COUNTS, chances, interval, plural, signed, stroke_size
from sgputt_cli.options import RoundFilter, Shared
from sgputt_cli.output import (
    baseline_words,
    form_of_picture,
    say,
    say_lengths_in,
    table,
    to_whoever_reads,
    write_file,
    write_json,
)
from sgputt_cli.practice import say_decision
from sgputt_cli.selection import select_round, select_season
from sgputt_cli.stored import settings_of

if TYPE_CHECKING:
    from sgputt_reports.charts import Chart

_MOST_MONTHS = 6
_MOST_PARTS = 2
# Parts of a season that two threads share.
_WITHOUT_A_FIT = ("figures", "trend", "breakdowns", "best", "worst")
_FAIR = ("slopes", "breaks")


def write_season(
    shared: Shared,
    year: int | None = None,
    which: RoundFilter | None = None,
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
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    analysis = select_season(shared, year, which)
    plain = beside.submit(_begin, analysis, shown_in, out is not None)
    analysis.work_out("fit")
    charts = plain.result()
    if analysis.counts:
        # What to practise and why putts missed both rest on the fit, not on each other.
        whole = out is not None or shared.as_json
        rest = beside.submit(analysis.work_out, "decision", *(_FAIR if whole else ()))
        analysis.work_out("stroke")
        rest.result()
    with to_whoever_reads():
        if shared.as_json:
            write_json(analysis.as_dict())
        else:
            say_season(analysis)
    if out is not None:
        from sgputt_reports.season import season_page

        write_file(out, season_page(analysis, shown_in, charts), quiet=shared.as_json)
    if picture is not None and form is not None:
        from sgputt_reports.share import season_picture

        drawn = season_picture(analysis, form, names, shown_in)
        write_file(picture, drawn, quiet=shared.as_json)


def _begin(analysis: SeasonAnalysis, shown_in: str, page: bool) -> dict[str, Chart]:
    """Work out what rests on no fit, and draw the charts of it where a page is wanted."""
    if analysis.counts:
        analysis.work_out(*_WITHOUT_A_FIT)
    if not page:
        return {}
    from sgputt_reports.season_charts import WITHOUT_A_FIT, season_charts

    return season_charts(analysis, WITHOUT_A_FIT, shown_in)


def say_season(analysis: SeasonAnalysis) -> None:
    """Where, when and why strokes went, and what to practise next."""
    summary = analysis.summary
    _say_summary(summary, analysis.counts)
    found = analysis.figures
    least = "at least " if found.holed_without_length else ""
    texts = [
        f"One putt on {_percent(found.one_putts)} of holes",
        f"three or more on {_percent(found.three_putts)}",
        f"{least}{found.feet_holed_per_round.value:.0f} ft holed a round",
    ]
    if found.first_putt_ft is not None:
        texts.append(f"first putts {found.first_putt_ft:.0f} ft on average")
    say(f"{', '.join(texts)}.")
    if not analysis.counts:
        return
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
    _say_course_of(analysis)
    if not analysis.stroke.too_few:
        say_misses(analysis.stroke)
        say_habits(analysis.stroke)
        say("The stroke in its parts, and what a better one would bring: sgputt stroke")
    say_decision(analysis.decision)


def _say_summary(summary: SeasonSummary, counts: bool) -> None:
    gained = summary.strokes_gained
    played = f"{plural(summary.rounds, 'round')}, {plural(summary.holes, 'hole')}"
    say(f"{summary.player}, {summary.season}: {played}")
    if not counts:
        say(NOTHING_COUNTS)
        return
    sure = (
        f"{plural(summary.rounds, 'round')}: too few for an interval"
        if gained.low is None
        else f"90 % interval {interval(gained.low, gained.high)}"
    )
    say(
        f"Strokes gained a round against {baseline_words(summary.against)}: {signed(gained.value)}"
        f" ({sure})"
    )
    say(f"Holing {signed(summary.holing.value)}, leaves {signed(summary.leave.value)}")
    say(
        f"{summary.putts_per_round:.1f} putts and {summary.three_putts_per_round:.1f}"
        " three-putts a round of 18 holes"
    )


def _percent(share: Share) -> str:
    return f"{100 * share.value:.0f} % ({100 * share.low:.0f} to {100 * share.high:.0f})"


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


def _story(word: str, story: RoundStory) -> str:
    parts = [
        f"{row['component']} {row['distance']} {signed(row['difference'])}"
        for row in story.parts.head(_MOST_PARTS).iter_rows(named=True)
    ]
    why = f"; against your usual: {', '.join(parts)}" if parts else ""
    short = "" if story.holes == HOLES_IN_A_ROUND else f" as of 18 holes ({story.holes} played)"
    return f"{word} round {story.date} {signed(story.per_round)}{short}{why}."


def write_round(
    shared: Shared,
    round_id: int | None,
    out: Path | None,
    picture: Path | None = None,
    names: bool = True,
) -> None:
    """Print a round, or write it as JSON, and write its page or picture where one is named."""
    form = None if picture is None else form_of_picture(picture)
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    analysis = select_round(shared, round_id)
    with to_whoever_reads():
        if shared.as_json:
            write_json(analysis.as_dict())
        else:
            _say_round(analysis.report)
    if out is not None:
        from sgputt_reports.round import round_page

        write_file(out, round_page(analysis, shown_in), quiet=shared.as_json)
    if picture is not None and form is not None:
        from sgputt_reports.share import round_picture

        drawn = round_picture(analysis, form, names, shown_in)
        write_file(picture, drawn, quiet=shared.as_json)


def _say_round(report: RoundReport) -> None:
    where = f"{report.player}, {report.date}, {report.course}"
    table(
        f"Round {report.round_id}: {where}",
        ["hole", "putts", "first putt", "gained", "ended"],
        [
            (
                str(row["hole"]),
                str(row["putts"]),
                "-" if row["first_putt_ft"] is None else f"{row['first_putt_ft']:.1f} ft",
                signed(row["strokes_gained"]),
                row["ending"],
            )
            for row in report.holes_table.iter_rows(named=True)
        ],
    )
    rest = f", not split {signed(report.not_split)}" if report.not_split else ""
    say(
        f"{plural(report.putts, 'putt')} on {plural(report.holes, 'hole')}. Strokes gained against "
        f"{baseline_words(report.against)}: "
        f"{signed(report.strokes_gained)} (holing {signed(report.holing)}, leaves "
        f"{signed(report.leave)}{rest})."
    )
    if report.not_split:
        say("Not split: second-putt lengths are missing, so only the hole totals are known.")
    if report.conceded:
        say(f"Concessions gained {signed(report.conceded)}, kept out of the figures above.")
    if report.left_out:
        say(f"Left out, from picked-up holes: {plural(report.left_out, 'putt')}.")
    if report.off_green:
        say(f"From off the green, not counted: {plural(report.off_green, 'putt')}.")
    say("One round is mostly luck: see sgputt practice for what can be told from several.")


# How many habits that may be luck are named when none is told.
_NEAREST = 1
_LIKELY = 0.9


def write_stroke(shared: Shared, year: int | None) -> None:
    """Print a player's stroke, or write it as JSON."""
    say_lengths_in(settings_of(shared).shown_in)
    analysis = select_season(shared, year)
    if shared.as_json:
        write_json({"player": analysis.player, **analysis.stroke.as_dict()})
    else:
        _say_stroke(analysis.player, analysis.stroke)


def _say_stroke(player: str, stroke: StrokeCauses) -> None:
    played = f"{plural(stroke.rounds, 'round')}, {plural(stroke.putts, 'putt')}"
    say(f"{player}: {played}")
    if stroke.too_few:
        say(stroke.too_few)
        return
    table(
        "The parts of your stroke, with 90 % intervals, and what one step better is worth a round",
        ["part", "yours", "better", "tour", "worth"],
        [_part(each) for each in stroke.parts],
    )
    say(
        "How widely each spreads, less being steadier: read in % of the break, direction in "
        "degrees, pace in % of the roll."
    )
    say_habits(stroke)
    # Where no habit is told, the likely one that would cost most.
    likely = [each for each in stroke.habits if each.chance >= _LIKELY and not stroke.told]
    for each in sorted(likely, key=lambda each: -each.worth_per_round.value)[:_NEAREST]:
        say(f"It may be luck that: {each.text} Chance that it is so: {chances(each.chance)}.")
    say()
    say_misses(stroke)
    say(stroke.pace_note)
    say(
        "Worth is strokes a round on your own first putts, if you putted one step better or without"
        " the habit. The step is a yardstick, not what practice brings: for that, sgputt practice."
    )
    say(stroke.assumption)


def _part(each: StrokePart) -> tuple[str, ...]:
    low, high = (stroke_size(value, each.unit).rstrip(" %°") for value in (each.low, each.high))
    worth = each.worth_per_round
    return (
        each.part,
        f"{stroke_size(each.value, each.unit)} ({low} to {high})",
        stroke_size(each.better, each.unit),
        stroke_size(each.tour, each.unit),
        f"{signed(worth.value)} ({interval(worth.low, worth.high)})",
    )


def say_habits(stroke: StrokeCauses) -> None:
    """Habits that are beyond luck, a sentence each; else the nearest to it."""
    for each in stroke.told:
        say(f"Habit. {each.text} Chance that it is so: {chances(each.chance)}.")
    if not stroke.told:
        say("No habit can be told from luck.")


def say_misses(stroke: StrokeCauses) -> None:
    """What misses were, in shares and in strokes, beside the player's own words."""
    if not stroke.misses:
        return
    causes = sorted(stroke.misses, key=lambda each: -each.lost_per_round)
    shares = ", ".join(
        f"{each.cause} {100 * each.share:.0f} % ({signed(-each.lost_per_round)})" for each in causes
    )
    say(f"What misses were, with strokes lost on them a round: {shares}.")
    for row in stroke.own_words.iter_rows(named=True):
        word, many = row["cause"], plural(row["putts"], "miss", "misses")
        made = ", ".join(f"{each.cause} {100 * row[each.cause]:.0f} %" for each in causes)
        say(f"You wrote {word} for {many}; by the model they were {made}.")

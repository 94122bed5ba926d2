"""A season and its practice as sentences and tables, whatever form they are written in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import polars as pl

from sgputt import wording
from sgputt.analysis.season import SeasonAnalysis
from sgputt.analysis.squad import SquadAnalysis
from sgputt.inference.cells import ANY
from sgputt.inference.intervals import LEVEL
from sgputt.practice.decision import Priority
from sgputt.practice.drills import load_caution
from sgputt.practice.log import DrillHistory
from sgputt.practice.squad import Group, Squad
from sgputt.season.fairness import FAIR_ASSUMPTION
from sgputt.season.summary import PlainFigures, SeasonSummary
from sgputt.stroke.causes import StrokeCauses
from sgputt.wording import NOTHING_COUNTS, RULE
from sgputt_reports.tables import Column, Document, Figures, Kind, Table, make_table


def season_document(analysis: SeasonAnalysis) -> Document:
    """A season: the next drill first, then all tables."""
    summary = analysis.summary
    against = summary.against
    return Document(
        title=f"{summary.player}: putting, {summary.season}",
        lead=[played(summary), *_headline(summary)],
        advice=advice(analysis, most=1),
        tables=[each for each in season_tables(analysis) if not each.frame.is_empty()],
        notes=[
            *_meanings(summary.strokes_gained.level, analysis.decision.meaning),
            _from(analysis),
            FAIR_ASSUMPTION,
            analysis.stroke.assumption,
            analysis.stroke.too_few,
            f"Baseline {against.name}: {against.title}; {against.limits}.",
            analysis.caution,
            RULE,
        ],
        facts=facts(summary),
    )


def practice_document(analysis: SeasonAnalysis) -> Document:
    """What to practise: each loss with its drill, in order of size."""
    summary = analysis.summary
    return Document(
        title=f"{summary.player}: what to practise next",
        lead=[played(summary)],
        advice=advice(analysis),
        tables=[priorities_table(analysis.priorities)],
        notes=[
            *_meanings(summary.strokes_gained.level, analysis.decision.meaning)[1:],
            _from(analysis),
            analysis.caution,
            RULE,
        ],
        facts=facts(summary),
    )


def squad_document(analysis: SquadAnalysis) -> Document:
    """A squad: what stands out, who has changed, and the drill of each group."""
    squad = analysis.squad
    absent = f"No round asked for of: {', '.join(analysis.absent)}." if analysis.absent else ""
    return Document(
        title=f"Squad: {wording.plural(len(squad.members), 'player')}",
        lead=[
            wording.first_up(squad.headline),
            squad.changes,
            *filter(None, [squad.stations_meaning, absent]),
        ],
        advice=[_group(each) for each in squad.groups],
        tables=[_members_table(squad), _changes_table(squad)],
        notes=[
            squad.changes_meaning,
            *_meanings(LEVEL, squad.worth_meaning)[1:],
            f"Baseline {squad.against.name}: {squad.against.title}; {squad.against.limits}.",
            load_caution(),
            RULE,
        ],
    )


def _group(group: Group) -> tuple[str, list[str]]:
    """Heading and paragraphs: the set-up, then each player's mark."""
    heading = f"{group.rank}. {wording.first_up(group.title)}: {group.drill.name}"
    players = [f"{name}: {group.says(name)}" for name in group.players]
    return heading, [f"Set-up: {group.drill.setup}", f"Do: {group.drill.do}", *players]


def _members_table(squad: Squad) -> Table:
    rows = [
        {
            "player": each.player,
            "rounds": each.rounds,
            "per_round": each.strokes_gained.value,
            "low": each.strokes_gained.low,
            "high": each.strokes_gained.high,
            "holing": each.holing.value,
            "leave": each.leave.value,
        }
        for each in squad.members
    ]
    frame = pl.DataFrame(rows, infer_schema_length=None)
    return make_table("players", "Strokes gained", frame, frame.columns)


def _changes_table(squad: Squad) -> Table:
    rows = [
        {
            "player": name,
            "up_to": each.day,
            "rounds_before": each.rounds_before,
            "rounds_since": each.rounds_since,
            "before": each.before,
            "since": each.since,
            "low": each.low,
            "high": each.high,
            "verdict": each.verdict,
            "words": each.words,
        }
        for name, each in squad.progress.items()
    ]
    frame = pl.DataFrame(rows, infer_schema_length=None)
    kinds: dict[str, Kind] = {
        "up_to": "day",
        "rounds_before": "count",
        "rounds_since": "count",
        "before": "gain",
        "since": "gain",
    }
    titles = {"up_to": "up to", "low": "change from", "high": "change to", "verdict": "told"}
    columns = frame.columns
    return make_table(
        "changes", "Has the putting changed?", frame, columns, kinds=kinds, titles=titles
    )


def facts(summary: SeasonSummary) -> dict[str, Any]:
    """Whose season it is, of when, against whom, and how much was played."""
    return {
        "player": summary.player,
        "season": summary.season,
        "baseline": summary.against.name,
        "baseline_approximate": summary.against.approximate,
        "level": summary.strokes_gained.level,
        "rounds": summary.rounds,
        "holes": summary.holes,
        "putts": summary.putts,
    }


def played(summary: SeasonSummary) -> str:
    """How much was played, when and against whom, in a sentence."""
    days = summary.rounds_table["date"].sort()
    first, last = wording.day(days[0]), wording.day(days[-1])
    span = f"on {first}" if first == last else f"from {first} to {last}"
    rough = ", which is approximate" if summary.against.approximate else ""
    counts = ", ".join(
        (
            wording.plural(summary.rounds, "round"),
            wording.plural(summary.holes, "hole"),
            wording.plural(summary.putts, "putt"),
        )
    )
    return f"{counts}, {span}; compared with the baseline {summary.against.name}{rough}."


def _headline(summary: SeasonSummary) -> list[str]:
    gained = summary.strokes_gained
    reached = wording.reached(gained.low, gained.high)
    within = f" ({wording.percent(gained.level)} interval {reached})" if reached else ""
    parts = (
        f"holing {wording.estimate(summary.holing)} and leaves {wording.estimate(summary.leave)}"
        f"; {wording.number(summary.putts_per_round)} putts and "
        f"{wording.number(summary.three_putts_per_round)} three-putts a round of 18 holes"
    )
    few = wording.few_rounds(summary.rounds)
    said = [f"Strokes gained a round: {wording.estimate(gained)}{within}. Of these {parts}."]
    return [*said, few] if few else said


def advice(analysis: SeasonAnalysis, most: int | None = None) -> list[tuple[str, list[str]]]:
    """What to do next: a heading and paragraphs for each loss, or for the ``most`` first."""
    if not analysis.counts:
        return [("Next", [NOTHING_COUNTS])]
    decision = analysis.decision
    heading = "Why this one" if decision.stands_out else "Nothing stands out"
    told = [(heading, [decision.note])] if decision.note else []
    return told + [_drill(each) for each in decision.priorities[:most]]


def _drill(each: Priority) -> tuple[str, list[str]]:
    """Heading and paragraphs."""
    kind = "Default drill" if each.default else f"Drill {each.rank}"
    return f"{kind}: {each.drill.name}, {each.minutes} minutes", [
        f"Why: {wording.tidy(each.why)}. How sure: {each.sureness}",
        f"Set-up: {each.drill.setup}",
        f"Do: {each.drill.do}",
        f"Pass mark: {each.pass_mark}",
        *([f"Set up for you: {each.set_up}"] if each.set_up else []),
        f"Worth: {each.worth_words}.",
    ]


def _from(analysis: SeasonAnalysis) -> str:
    return f"Pass marks are worked out from {analysis.decision.known.whose}."


def _meanings(level: float, worth: str) -> list[str]:
    return [
        "Strokes gained: expected putts from where the ball lay, less those taken; positive is "
        "good. Holing is the part won or lost by the ball dropping or not, leave by how far a "
        "miss was left.",
        f"A round is 18 holes. Intervals are {wording.percent(level)}.",
        f"{worth} Pass marks and worth rest on a model.",
    ]


STROKES = "strokes a round"
_BREAKDOWNS = {
    "months": ("month", "Strokes gained by month"),
    "events": ("event", "Strokes gained by event"),
    "courses": ("course", "Strokes gained by course"),
    "stimps": ("green speed", "Strokes gained by green speed"),
    "breaks": ("break", "Strokes gained by break"),
    "first_and_later": ("putt", "Strokes gained by first and later putts"),
}
_VALUES = ("figure", "value", "low", "high")
_UNITS = {
    "degrees": "degrees",
    "share of the break": "% of the break",
    "share of the roll": "% of the roll",
}
_ROUND_COLUMNS = (
    "round_id",
    "player",
    "date",
    "round",
    "course",
    "event",
    "holes",
    "putts",
    "one_putts",
    "three_putts",
    "first_putt_ft",
    "strokes_gained",
    "holing",
    "leave",
    "not_split",
    "conceded",
)


def season_tables(analysis: SeasonAnalysis) -> list[Table]:
    """All tables of a season, those without a row too."""
    summary = analysis.summary
    return [
        _headline_table(summary),
        _plain_table(analysis.figures),
        _gained_table("distances", "Strokes gained by distance", summary.by_distance, "distance"),
        _makes_table(analysis.makes),
        _leaves_table(analysis.leaves),
        *(
            _gained_table(name, title, table.rename({"label": label}), label)
            for name, (label, title) in _BREAKDOWNS.items()
            if (table := analysis.breakdowns.get(name)) is not None
        ),
        _slopes_table(analysis.slopes),
        _misses_table(analysis.stroke),
        _own_words_table(analysis.stroke),
        _parts_table(analysis.stroke),
        _habits_table(analysis.stroke),
        _worth_table(analysis.stroke),
        priorities_table(analysis.priorities),
        cells_table(analysis.cells),
        _trend_table(analysis.trend),
        _stories_table(analysis),
        practised_table(analysis.practised),
        rounds_table(summary.rounds_table, "rounds_played"),
    ]


def _headline_table(summary: SeasonSummary) -> Table:
    rows = [
        (name, value.value, value.low, value.high)
        for name, value in (
            ("strokes gained", summary.strokes_gained),
            ("holing", summary.holing),
            ("leave", summary.leave),
            ("not split", summary.not_split),
        )
    ]
    figures = Figures(("figure",), "value", STROKES)
    return _of_rows("gained", "Strokes gained a round", rows, _VALUES, figures)


def _plain_table(plain: PlainFigures) -> Table:
    rows: list[tuple[object, ...]] = [
        (name, value.value, value.low, value.high, unit)
        for name, value, unit in (
            ("putts", plain.putts_per_round, "putts a round"),
            ("feet holed", plain.feet_holed_per_round, "feet a round"),
        )
    ]
    for name, share in (("one-putts", plain.one_putts), ("three-putts", plain.three_putts)):
        percent = (100 * each for each in (share.value, share.low, share.high))
        rows.append((name, *percent, "% of holes"))
    rows.append(("first putt", plain.first_putt_ft, None, None, "feet, mean"))
    kinds: dict[str, Kind] = dict.fromkeys(_VALUES[1:], "number")
    figures = Figures(("figure",), "value", "")
    return _of_rows("plain", "Plain figures", rows, (*_VALUES, "unit"), figures, kinds)


def _of_rows(
    name: str,
    title: str,
    rows: Sequence[tuple[object, ...]],
    columns: tuple[str, ...],
    figures: Figures,
    kinds: Mapping[str, Kind] | None = None,
) -> Table:
    frame = pl.DataFrame(rows, schema=list(columns), orient="row")
    return make_table(name, title, frame, columns, kinds=kinds, figures=[figures])


def _gained_table(name: str, title: str, frame: pl.DataFrame, label: str) -> Table:
    columns = (label, "rounds", "putts", "per_round", "low", "high")
    seen = frame.filter(pl.col("putts") > 0)
    figures = Figures((label,), "per_round", STROKES, "putts")
    return make_table(name, title, seen, columns, figures=[figures])


def _makes_table(makes: pl.DataFrame) -> Table:
    return make_table(
        "makes",
        "Putts holed by distance",
        makes,
        ("distance", "putts", "made", "share", "low", "high", "baseline"),
        kinds={"low": "share", "high": "share"},
        titles={"share": "holed", "baseline": "baseline holes"},
        figures=[Figures(("distance",), "share", "share holed", "putts")],
    )


def _leaves_table(leaves: pl.DataFrame) -> Table:
    return make_table(
        "leaves",
        "How far missed first putts were left, feet",
        leaves,
        ("distance", "misses", "quarter_ft", "median_ft", "three_quarters_ft", "nine_tenths_ft"),
        note="A quarter of the misses was left no further than the first figure, half no further "
        "than the second, and so on.",
        figures=[Figures(("distance",), "median_ft", "feet left, median", "misses")],
    )


def _slopes_table(slopes: pl.DataFrame) -> Table:
    written = slopes.filter(pl.col("slope") != "unknown")
    return make_table(
        "slopes",
        "Strokes gained by slope",
        slopes if written.height else written,
        ("slope", "putts", "per_round", "fair_per_round", "fair_low", "fair_high"),
        figures=[
            Figures(("slope",), "per_round", STROKES, "putts"),
            Figures(
                ("slope",), "fair_per_round", f"{STROKES}, fair", "putts", "fair_low", "fair_high"
            ),
        ],
    )


def _misses_table(stroke: StrokeCauses) -> Table:
    return make_table(
        "misses",
        "What misses were, by a model",
        pl.DataFrame([asdict(each) for each in stroke.misses]),
        ("cause", "share", "lost_per_round"),
        note="A miss is shared out among its causes by what would have had to be different for the "
        "ball to drop.",
        figures=[
            Figures(("cause",), "share", "share of misses"),
            Figures(("cause",), "lost_per_round", "strokes lost a round"),
        ],
    )


def _own_words_table(stroke: StrokeCauses) -> Table:
    return make_table(
        "own_words",
        "What misses were by your own word, and by the model",
        stroke.own_words,
        ("cause", "putts", "read", "direction", "pace"),
        kinds=dict.fromkeys(("read", "direction", "pace"), "share"),
        titles={"cause": "your word"},
    )


def _shown(size: float, unit: str) -> float:
    """A spread or a habit as it is shown: shares as per cent."""
    return size if unit == "degrees" else 100 * size


def _parts_table(stroke: StrokeCauses) -> Table:
    sizes = ("value", "low", "high", "tour", "better")
    rows = [
        {
            "part": each.part,
            **{name: _shown(getattr(each, name), each.unit) for name in sizes},
            "unit": _UNITS[each.unit],
        }
        for each in stroke.parts
    ]
    return make_table(
        "stroke_parts",
        "The parts of the stroke, a model",
        pl.DataFrame(rows),
        ("part", *sizes, "unit"),
        kinds=dict.fromkeys(sizes, "strokes"),
        titles={"value": "yours", "better": "a step better"},
        figures=[Figures(("part",), "value", "")],
    )


def _habits_table(stroke: StrokeCauses) -> Table:
    sizes = ("size", "low", "high")
    rows = [
        {
            "habit": each.habit,
            "where": each.where,
            **{name: _shown(getattr(each, name), each.unit) for name in sizes},
            "unit": _UNITS[each.unit],
            "chance": each.chance,
            "told": "yes" if each.told else "may be luck",
            "in_words": each.text,
        }
        for each in stroke.habits
    ]
    return make_table(
        "habits",
        "Habits looked at, a model",
        pl.DataFrame(rows),
        ("habit", "where", *sizes, "unit", "chance", "told", "in_words"),
        kinds={**dict.fromkeys(sizes, "strokes"), "chance": "share"},
        titles={"chance": "chance that it is this way", "told": "told from luck"},
        figures=[Figures(("habit", "where"), "size", "")],
        prose=("in_words",),
    )


def _worth_table(stroke: StrokeCauses) -> Table:
    gains = [(f"{each.part}, one step better", each.worth_per_round) for each in stroke.parts]
    gains += [
        (f"{each.habit}, {each.where}: without it", each.worth_per_round) for each in stroke.told
    ]
    return make_table(
        "worth",
        "What a better stroke would bring on these first putts, a model",
        pl.DataFrame([{"change": change, **asdict(worth)} for change, worth in gains]),
        ("change", "value", "low", "high"),
        titles={"value": "strokes gained a round"},
        figures=[Figures(("change",), "value", STROKES)],
    )


def cells_table(cells: pl.DataFrame) -> Table:
    """Strokes gained a round by distance, slope and component."""
    return make_table(
        "cells",
        "Strokes gained by distance, slope and component",
        cells,
        tuple(cells.columns),
        note=f"Slope {ANY} is the whole distance, putts of unknown slope included.",
    )


def _trend_table(trend: pl.DataFrame) -> Table:
    columns = ("date", "round", "course", "event", "holes", "per_round")
    return make_table("trend", "Round by round", trend, (*columns, "over", "mean", "low", "high"))


def _stories_table(analysis: SeasonAnalysis) -> Table:
    rows = [
        {
            "which": word,
            "date": each.date,
            "round": each.round,
            "course": each.course,
            "holes": each.holes,
            "strokes_gained": each.strokes_gained,
            "why": ", ".join(
                f"{row['component']} {wording.tidy(row['distance'])} "
                f"{wording.signed(row['difference'])}"
                for row in each.parts.iter_rows(named=True)
            ),
        }
        for word, stories in (("best", analysis.best), ("worst", analysis.worst))
        for each in stories
    ]
    return make_table(
        "best_and_worst",
        "Best and worst rounds",
        pl.DataFrame(rows),
        ("which", "date", "round", "course", "holes", "strokes_gained", "why"),
        titles={"why": "beside the usual"},
    )


def rounds_table(rounds: pl.DataFrame, name: str = "rounds") -> Table:
    """Rounds in the order played, with what each gained on the holes played."""
    return make_table(name, "Rounds", rounds, _ROUND_COLUMNS)


def putts_table(putts: pl.DataFrame) -> Table:
    """The putts table as it is, under the names by which it is read again."""
    kinds: dict[str, Kind] = {
        name: "day" if dtype == pl.Date else "count" if dtype.is_integer() else "number"
        for name, dtype in putts.schema.items()
        if dtype == pl.Date or dtype.is_numeric()
    }
    described = make_table("putts", "Putts", putts, putts.columns, kinds=kinds)
    named = tuple(Column(each.name, each.name, each.kind) for each in described.columns)
    return Table("putts", "Putts", named, putts)


_PRIORITY_COLUMNS = (
    "rank",
    "cause",
    "habit",
    "distance",
    "slope",
    "break",
    "default",
    "told",
    "drill",
    "drill_name",
    "minutes",
    "balls",
    "worth_per_round",
    "low",
    "high",
    "worth_per_set",
    "chance_best",
    "why",
    "setup",
    "do",
    "pass_mark",
    "set_up",
)
_PRACTISED_COLUMNS = (
    "drill",
    "sets",
    "last",
    "balls",
    "successes",
    "rate",
    "low",
    "high",
    "mark",
    "passed",
    "judged",
)


def priorities_table(priorities: Sequence[Priority]) -> Table:
    """What to practise, a row a drill, with all there is to say of it.

    ``set_up`` is why and how the drill is set up otherwise than in the catalogue.
    """
    rows = []
    for each in priorities:
        drill, found = each.drill, each.as_dict()
        found |= {**found.pop("where"), "drill_name": drill.name, "balls": drill.balls}
        found |= {
            "default": _yes(each.default),
            "told": _yes(each.told),
            "setup": drill.setup,
            "do": drill.do,
            "set_up": each.set_up,
        }
        rows.append({name: found[name] for name in _PRIORITY_COLUMNS})
    return make_table(
        "priorities",
        "What to practise",
        pl.DataFrame(rows, None if rows else _PRIORITY_COLUMNS, infer_schema_length=None),
        _PRIORITY_COLUMNS,
        kinds={"low": "strokes", "high": "strokes"},
        prose=("why", "setup", "do", "pass_mark", "set_up"),
        figures=[
            Figures(("cause", "drill"), "worth_per_round", "strokes a round for a step", "balls")
        ],
    )


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def practised_table(practised: Sequence[DrillHistory]) -> Table:
    """Drills practised, one row each, with their share of successes."""
    frame = pl.DataFrame([asdict(each) for each in practised], infer_schema_length=None)
    return make_table(
        "practised",
        "Drills practised",
        frame,
        _PRACTISED_COLUMNS,
        kinds={"low": "share", "high": "share"},
        figures=[Figures(("drill",), "rate", "share of balls", "balls")],
    )

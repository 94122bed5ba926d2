"""A squad at the terminal."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import polars as pl

from sgputt.analysis.squad import SquadAnalysis
from sgputt.practice.drills import load_caution
from sgputt.practice.squad import KNOWN_WITHIN, Squad
from sgputt.putts.bands import LABELS
from sgputt.putts.units import said_in_metres
from sgputt.wording import first_up, interval, plural, signed
from sgputt_cli.options import MARKDOWN, RoundFilter, Shared
from sgputt_cli.output import (
    as_shown,
    baseline_words,
    say,
    say_indented,
    say_lengths_in,
    table,
    to_whoever_reads,
    write_file,
    write_json,
)
from sgputt_cli.selection import select_squad
from sgputt_cli.stored import settings_of

_SHEET_MINUTES = 60
_LONGEST_FILE = 60
_LONGEST_NAME = 24


def write_squad(
    shared: Shared,
    which: RoundFilter,
    out: Path | None,
    sheets: Path | None,
    changed_since: date | None,
) -> None:
    """Print a squad, or write it as JSON, and write its page where ``out`` names one.

    ``sheets`` names a folder for a practice sheet of each player.
    """
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    analysis = select_squad(shared, which, changed_since)
    if sheets is not None:
        _write_sheets(analysis, sheets, shown_in, quiet=shared.as_json)
    with to_whoever_reads():
        if shared.as_json:
            write_json(analysis.as_dict())
        else:
            say_squad(analysis.squad, analysis.absent)
    if out is not None:
        write_file(out, _written(analysis, out, shown_in), quiet=shared.as_json)


def _written(analysis: SquadAnalysis, out: Path, shown_in: str) -> str:
    """The squad in the form that the name of the file asks for: Markdown, or a page."""
    if out.suffix.casefold() in MARKDOWN:
        from sgputt_reports.export import squad_document
        from sgputt_reports.tables import document_to_markdown

        text = document_to_markdown(squad_document(analysis)).decode()
        return said_in_metres(text) if shown_in == "metres" else text
    from sgputt_reports.squad import squad_page

    return squad_page(analysis, shown_in)


def _write_sheets(analysis: SquadAnalysis, folder: Path, shown_in: str, quiet: bool) -> None:
    """An hour's practice for each player, with their own set-ups and marks."""
    from sgputt_reports.practice import practice_page

    folder.mkdir(parents=True, exist_ok=True)
    names = file_names(list(analysis.players))
    for player, season in analysis.players.items():
        behind = f"{plural(season.rounds, 'round')}, {season.season}"
        page = practice_page(season.plan(_SHEET_MINUTES), player, load_caution(), behind, shown_in)
        write_file(folder / f"{names[player]}.html", page, quiet=quiet)


def file_names(players: Sequence[str]) -> dict[str, str]:
    """A plain file name for each player, no two alike."""
    found: dict[str, str] = {}
    for player in players:
        plain = re.sub(r"[^\w-]+", "-", player).strip("-")[:_LONGEST_FILE] or "player"
        taken = {name.casefold() for name in found.values()}
        at = 2
        name = plain
        while name.casefold() in taken:
            name, at = f"{plain}-{at}", at + 1
        found[player] = name
    return found


def short_names(players: Sequence[str]) -> dict[str, str]:
    """Names on one line of a table: the longest cut, unless two would then look alike."""
    cut = {
        each: each if len(each) <= _LONGEST_NAME else f"{each[: _LONGEST_NAME - 1].rstrip()}…"
        for each in players
    }
    alone = Counter(cut.values())
    return {each: short if alone[short] == 1 else each for each, short in cut.items()}


def say_squad(squad: Squad, absent: Sequence[str]) -> None:
    """What stands out and the drills for it, then players, changes, who loses where, and doubts."""
    names = short_names([each.player for each in squad.members])
    say(f"{plural(len(squad.members), 'player')}. {squad.headline}")
    say(squad.changes, hang=2)
    _say_groups(squad)
    say()
    table(
        f"Strokes gained a round against {baseline_words(squad.against)}",
        ["player", "rounds", "gained", "90 % interval", "holing", "leaves"],
        [
            (
                names[each.player],
                str(each.rounds),
                signed(each.strokes_gained.value),
                interval(each.strokes_gained.low, each.strokes_gained.high),
                signed(each.holing.value),
                signed(each.leave.value),
            )
            for each in squad.members
        ],
    )
    _say_changes(squad, names)
    for component, title in (("holing", "Holing"), ("leave", "Leaves")):
        _where(squad, component, title, names)
    say("Shrunk toward each player's own mean; * a loss that luck does not explain.")
    few = []
    for each in squad.members:
        if each.few_rounds:
            more = f", about {each.more_rounds} more would do" if each.more_rounds else ""
            few.append(f"{each.player} ({plural(each.rounds, 'round')}{more})")
    if few:
        within = f"within {KNOWN_WITHIN:g} stroke"
        say(f"Too few rounds to know strokes gained {within}: {', '.join(few)}.", hang=2)
    if absent:
        say(f"No round asked for of: {', '.join(absent)}.", hang=2)


def _say_changes(squad: Squad, names: dict[str, str]) -> None:
    one = squad.one_day is not None
    until = str(squad.one_day) if one else "a day"
    table(
        f"Has the putting changed? Strokes gained a round up to {until} and since",
        ["player", *([] if one else ["up to"]), "rounds", "before", "since", "change", "told"],
        [
            (
                names[name],
                *([] if one else [str(each.day)]),
                f"{each.rounds_before}, {each.rounds_since}",
                signed(each.before, 1),
                signed(each.since, 1),
                interval(each.low, each.high, 1),
                each.verdict,
            )
            for name, each in squad.progress.items()
        ],
        tight=True,
    )
    for name, each in squad.progress.items():
        if each.told or not each.looked_at:
            say_indented(f"{name}: {each.words}.")
    say(squad.changes_meaning)
    say()


def _where(squad: Squad, component: str, title: str, names: dict[str, str]) -> None:
    cells = {
        (row["player"], row["distance"]): row
        for row in squad.losses.filter(pl.col("component") == component).iter_rows(named=True)
    }
    units = {"ft": "feet", "m": "metres"}
    lengths, unit = zip(*(as_shown(label).split(" ") for label in LABELS), strict=True)
    table(
        f"{title}: strokes gained a round by length of putt, {units[unit[0]]}",
        ["player", *lengths],
        [
            (names[each.player], *(_cell(cells.get((each.player, label))) for label in LABELS))
            for each in squad.members
        ],
        tight=True,
    )


def _cell(row: dict[str, float] | None) -> str:
    if row is None:
        return "-"
    return signed(row["shrunk_per_round"]) + ("*" if row["sure"] else " ")


def _say_groups(squad: Squad) -> None:
    for each in squad.groups:
        say(f"{each.rank}. {first_up(each.title)}:")
        say_indented(f"{each.drill.name} ({each.drill.minutes} minutes)", 3)
        for name in each.players:
            say_indented(f"{name}: {each.says(name)}", 3)
    if squad.stations_meaning:
        say(squad.stations_meaning)
    if len(squad.groups) > 1:
        _say_session(squad)
    say("A sheet for each player: sgputt squad --sheets FOLDER")


def _say_session(squad: Squad) -> None:
    turns = squad.session()
    say(
        f"A session of the squad: the station of each in {plural(len(turns), 'turn')} of"
        f" {turns[0].minutes} minutes."
    )
    for group in squad.groups:
        at = ", ".join(str(turn.at(group)) for turn in turns)
        say(f"Station {at}: {', '.join(group.players)}.", hang=2)

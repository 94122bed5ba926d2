"""Drills at the terminal: the catalogue, one drill, and the log of what was practised."""

from __future__ import annotations

import difflib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import click
import polars as pl

from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError
from sgputt.naming import SeveralNamesError, UnknownNameError, find_named, new_name_words
from sgputt.practice.decision import known_from
from sgputt.practice.drills import Drill, habit_table, load_caution, serving_table
from sgputt.practice.log import DrillHistory, answers, histories
from sgputt.practice.marks import NOBODY, KnownStroke, mark_of_set, pass_mark
from sgputt.practice.session import (
    Session,
    SessionFault,
    complete,
    faults,
    mark_json,
    passed,
    sessions_frame,
)
from sgputt.practice.transfer import Change, CourseRate, Rate, Transfer
from sgputt.practice_intake import PracticeIntake, take_in_practice
from sgputt.safe_text import MAX_NAME, clean
from sgputt.scorecard.cells import DateOrder
from sgputt.wording import chances, interval, plural, signed
from sgputt_cli.options import Shared
from sgputt_cli.output import (
    form_of_picture,
    say,
    say_indented,
    say_lengths_in,
    table,
    write_file,
    write_json,
    write_line,
)
from sgputt_cli.selection import all_drills, select_season
from sgputt_cli.stored import (
    archive_path,
    find_player,
    has_archive,
    one_player,
    open_archive,
    settings_of,
    several_players,
)


def find_drill(drills: tuple[Drill, ...], asked: str, words: tuple[str, ...] = ()) -> Drill:
    """Drill of that name or title, or of a part that only it has; ``words`` may have been meant."""
    by_id = {drill.id: drill for drill in drills}
    names = {drill.name: drill.id for drill in drills} | {name: name for name in by_id}
    try:
        return by_id[find_named(asked, names, "drill", see="sgputt drills")]
    except (UnknownNameError, SeveralNamesError) as exc:
        near = difflib.get_close_matches(asked.casefold(), words, n=1)
        hint = f"Did you mean '{near[0]}'?" if near else exc.hint
        raise click.UsageError(f"{exc.what} {hint}") from exc


@dataclass(frozen=True)
class LogOwner:
    """Whose practice it is; ``new``: what to say when nothing is stored under that name."""

    name: str
    new: str = ""


def whose_practice(shared: Shared, archive: Archive | None) -> LogOwner:
    """The player asked for, who may be new, or the only one known."""
    known: list[str] = []
    usual = None
    if archive is not None:
        known = sorted({*archive.players(), *SessionLog(archive).players()})
        usual = archive.settings().player
    asked = shared.player or usual or ""
    if asked:
        try:
            return LogOwner(find_player(asked, known))
        except UnknownNameError:
            if len(asked) > MAX_NAME:
                raise click.UsageError(
                    f"--player: write a name of at most {MAX_NAME} characters."
                ) from None
            return LogOwner(asked, new_name_words(asked, known, "player"))
    if len(known) == 1:
        return LogOwner(known[0])
    if known:
        raise several_players(known)
    raise click.UsageError("Nobody is known yet. Say whose practice it is: --player NAME")


def open_log(shared: Shared) -> Archive:
    """The archive, for what is logged in it; an absent one says how to log."""
    if not has_archive(shared):
        raise ArchiveError(
            f"No practice is logged yet: {archive_path(shared)} does not exist.",
            "Log a set with: sgputt drills log NAME --balls N --successes N",
        )
    return open_archive(shared)


def known_stroke_of(archive: Archive | None, player: str | None) -> KnownStroke:
    """Whom pass marks are for: the player's own stroke, or a tour stroke without putts."""
    if archive is None or player is None:
        return NOBODY
    return known_from(archive.putts(player))


def known_stroke_asked_for(shared: Shared) -> KnownStroke:
    """Stroke of the player asked for or the only one stored; a tour stroke where that is open."""
    if not has_archive(shared):
        return known_stroke_of(None, None)
    with open_archive(shared) as archive:
        players = archive.players()
        if players and (shared.player or archive.settings().player) is not None:
            return known_stroke_of(archive, one_player(shared, archive))
        return known_stroke_of(archive, players[0] if len(players) == 1 else None)


_WORTH_SAYING = 0.05


def list_drills(shared: Shared, own: Path | None) -> None:
    """Print the catalogue, or write it as JSON."""
    drills = all_drills(own)
    if shared.as_json:
        write_json([drill.as_dict() for drill in drills])
        return
    say_lengths_in(settings_of(shared).shown_in)
    table(
        f"{len(drills)} drills (show one with: sgputt drills NAME)",
        ["name", "works on", "lengths", "balls", "minutes"],
        [(d.id, ", ".join(d.cause), _lengths(d), str(d.balls), str(d.minutes)) for d in drills],
        left=3,
        tight=True,
    )


def _lengths(drill: Drill) -> str:
    low = min(each.low_ft for each in drill.trains)
    return f"{low:g}-{max(each.high_ft for each in drill.trains):g} ft"


def table_drills(shared: Shared, own: Path | None) -> None:
    """Print which drill serves what: cause by length, slope and break, and every habit."""
    drills = all_drills(own)
    serving, habits = serving_table(drills), habit_table(drills)
    if shared.as_json:
        write_json({"causes": serving, "habits": habits})
        return
    short = {"left to right": "L-R", "straight": "str", "right to left": "R-L"}
    columns = [(slope, turn) for slope in ("uphill", "level", "downhill") for turn in short]
    table(
        "How many drills serve a cause at some lengths (ft), uphill, level and downhill, on putts"
        " that break left to right, run straight, break right to left",
        ["", *(f"{slope[:2]} {short[turn]}" for slope, turn in columns)],
        [
            (
                f"{cause} {where.removesuffix(' ft')}",
                *(_many(serving, cause, where, *each) for each in columns),
            )
            for cause, where in dict.fromkeys((row["cause"], row["distance"]) for row in serving)
        ],
        tight=True,
    )
    table(
        "Drills for a habit: two of each, all with --json",
        ["habit", "where", "drills"],
        [(row["habit"], row["where"], ", ".join(row["drills"][:2])) for row in habits],
        left=3,
    )


def _many(
    serving: Sequence[dict[str, object]], cause: str, distance: str, slope: str, turn: str
) -> str:
    for row in serving:
        if (row["cause"], row["distance"], row["slope"], row["break"]) == (
            cause,
            distance,
            slope,
            turn,
        ):
            drills = row["drills"]
            assert isinstance(drills, list)
            return str(len(drills))
    return "-"


def show_drill(
    shared: Shared,
    drill_id: str,
    own: Path | None,
    words: tuple[str, ...],
    out: Path | None = None,
) -> None:
    """Print how a drill is set up, with the player's pass mark; and its page or plan."""
    form = None if out is None else form_of_picture(out, page=True)
    written = find_drill(all_drills(own), drill_id, words)
    shown_in = settings_of(shared).shown_in
    say_lengths_in(shown_in)
    known = known_stroke_asked_for(shared)
    mark = pass_mark(written, known)
    drill = mark.drill
    if out is not None and form is not None:
        from sgputt_reports.plans import drill_file

        content = drill_file(drill, form, mark.text, known.whose, mark.set_up, shown_in)
        write_file(out, content, quiet=shared.as_json)
    if shared.as_json:
        write_json([{**drill.as_dict(), "pass_mark": mark.as_dict(known.whose)}])
        return
    say(f"{drill.name} ({drill.minutes} minutes, {plural(drill.balls, 'ball')})")
    works = f"Works on: {', '.join(drill.cause)}; {drill.trained_words()}"
    lines = [works, f"Set-up: {drill.setup}", f"Do: {drill.do}", f"Success: {drill.success}"]
    lines.append(f"Pass mark: {mark.text}")
    lines += [f"Set up for you: {mark.set_up}"] if mark.set_up else []
    lines.append(f"How hard: {mark.how_hard(known.whose)}")
    lines.append(f"How often: {drill.dose}")
    lines += [f"Mind: {drill.safety}"] if drill.safety else []
    for line in [*lines, f"Caution: {load_caution()}"]:
        say()
        say(line)
    say()
    click.echo(f"Afterwards: sgputt drills log {drill.id} {drill.scoring.log_options}")


def log_set(
    shared: Shared,
    drill_id: str,
    own: Path | None,
    day: date,
    balls: int,
    successes: int | None,
    restarts: int | None,
    minutes: float | None,
    note: str,
) -> None:
    """Store a set of a drill, held to its player's mark."""
    drill = find_drill(all_drills(own), drill_id)
    whole = Session("", day, drill.id, balls, successes, restarts, minutes, clean(note))
    session = complete(whole, drill)
    # Before an archive is made for it, and again once the player's own set-up is known.
    _refuse(faults(session, drill.longest(), date.today()))
    who, stored, session_id, moved = _stored(shared, session, drill)
    assert stored.pass_mark is not None
    row = {**asdict(stored), "date": str(stored.date)}
    verdict = passed(row)
    mark = json.loads(stored.pass_mark)
    if shared.as_json:
        row["pass_mark"] = mark
        write_json({"session_id": session_id, **row, "passed": verdict, "mark_moved": moved})
        return
    say(f"Logged for {who.name}, {stored.date}: {drill.name}, {_counts(stored)}.")
    say(f"Pass mark: {mark['text'].rstrip('.')}. {_verdict(verdict, stored, mark)}")
    if moved:
        say(moved)
    if who.new:
        say(who.new)
    click.echo(f"Next: sgputt drills history {drill.id}")
    click.echo("A mistake? Take it back: sgputt drills undo")


def _refuse(found: Sequence[SessionFault]) -> None:
    for fault in found:
        stood = f"'{fault.value}'" if fault.value else "nothing"
        text = f"--{fault.column}: {stood} stands there; allowed: {fault.allowed}. {fault.hint}"
        raise click.UsageError(text)


def _stored(shared: Shared, session: Session, drill: Drill) -> tuple[LogOwner, Session, int, str]:
    """Store it with the mark that holds for this player today, and say what it does to the next."""
    if not has_archive(shared):
        whose_practice(shared, None)
    with open_archive(shared, make=True) as archive:
        who = whose_practice(shared, archive)
        known, log = known_stroke_of(archive, who.name), SessionLog(archive)
        answer = answers(log.table(who.name), [drill]).get(drill.id)
        mark = mark_of_set(drill, known, answer.harder if answer else 0, session.balls)
        _refuse(faults(session, mark.drill, date.today()))
        whole = replace(session, player=who.name, pass_mark=mark_json(mark, known.whose))
        added = log.add(sessions_frame([whole]))
        after = answers(log.table(who.name), [drill]).get(drill.id)
    return who, whole, added.stored[0], after.moved if after else ""


def _verdict(passed: bool | None, session: Session, mark: dict[str, Any]) -> str:
    assert session.balls is not None
    if passed is not None:
        return "Passed." if passed else "Not yet."
    balls, row = mark["balls"], mark["in_a_row"]
    if session.balls < balls:
        whole = (
            f"a set has {balls}" if row is None else f"{row} in a row were not to be had in them"
        )
        return (
            f"Neither passed nor failed: {plural(session.balls, 'ball')}, and {whole}. It counts in"
            " your success rate."
        )
    return (
        f"Neither passed nor failed: {session.balls} balls, and a set has {balls}. It counts in"
        " your success rate; for a verdict log every set by itself."
    )


def _counts(session: Session) -> str:
    assert session.balls is not None and session.successes is not None
    share = f"{session.successes} of {session.balls} balls"
    if session.restarts is not None:
        share += f", {session.restarts} restart{'' if session.restarts == 1 else 's'}"
    return f"{share} ({100 * session.successes / session.balls:.0f} %)"


def show_history(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Print what was practised: success rates, pass marks, trends."""
    if drill_id is not None:
        drill_id = _logged_name(shared, drill_id, own)
    with open_log(shared) as archive:
        player = whose_practice(shared, archive).name
        sessions = SessionLog(archive).table(player, drill_id)
    found = histories(sessions)
    if shared.as_json:
        write_json({"player": player, "drills": [_as_json(each, sessions) for each in found]})
        return
    if not found:
        what = f"of {drill_id} " if drill_id else ""
        say(f"No practice {what}is logged for {player} yet.")
        say("Log a set with: sgputt drills log NAME --balls N --successes N")
        return
    say(f"Practice of {player} (intervals are 90 %)")
    moved = answers(sessions, all_drills(own))
    for each in found:
        say()
        _show(each)
        if each.drill in moved and moved[each.drill].words:
            say_indented(moved[each.drill].words)
    if drill_id is not None:
        click.echo()
        table(
            "Set by set",
            ["date", "balls", "successes", "restarts", "minutes", "passed", "note"],
            [
                (
                    str(row["date"]),
                    str(row["balls"]),
                    str(row["successes"]),
                    "-" if row["restarts"] is None else str(row["restarts"]),
                    "-" if row["minutes"] is None else f"{row['minutes']:g}",
                    {True: "yes", False: "no", None: "-"}[passed(row)],
                    row["note"],
                )
                for row in sessions.iter_rows(named=True)
            ],
        )


def _logged_name(shared: Shared, drill_id: str, own: Path | None) -> str:
    """The name as logged; a drill that was logged once may have left its file since."""
    with open_log(shared) as archive:
        logged = set(SessionLog(archive).table()["drill"])
    if drill_id in logged:
        return drill_id
    return find_drill(all_drills(own), drill_id).id


def _as_json(history: DrillHistory, sessions: pl.DataFrame) -> dict[str, object]:
    sets = []
    for row in sessions.filter(pl.col("drill") == history.drill).iter_rows(named=True):
        mark = json.loads(row["pass_mark"]) if row["pass_mark"] else None
        sets.append({**row, "pass_mark": mark, "passed": passed(row)})
    summary = asdict(history)
    number = summary.pop("sets")
    return {**summary, "number_of_sets": number, "sets": sets}


def _show(each: DrillHistory) -> None:
    span = str(each.first) if each.first == each.last else f"{each.first} to {each.last}"
    write_line(f"{each.drill}: {plural(each.sets, 'set')}, {span}")
    rate = f"{each.successes} of {each.balls} balls, {100 * each.rate:.0f} %"
    say_indented(f"Success: {rate} ({100 * each.low:.0f} to {100 * each.high:.0f} %)")
    if each.mark:
        hard = "" if each.mark_rate is None else f"That is {100 * each.mark_rate:.0f} %; "
        times = f"{'passed' if hard else 'Passed'} {each.passed} of {each.judged}."
        if not each.judged:
            times = f"{'no' if hard else 'No'} whole set yet."
        say_indented(f"Pass mark: {each.mark.rstrip('.')}. {hard}{times}")
    say_indented(f"Trend: {each.trend}.")


def show_transfer(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Print whether practice shows on the course."""
    wanted = None if drill_id is None else find_drill(all_drills(own), drill_id).id
    say_lengths_in(settings_of(shared).shown_in)
    analysis = select_season(shared, own=own)
    found = [each for each in analysis.transfers if wanted in (None, each.drill.id)]
    if shared.as_json:
        shown = [_transfer_json(each) for each in found]
        write_json({"player": analysis.player, "drills": shown})
        return
    say(f"{analysis.player}: practice against the course, {plural(analysis.rounds, 'round')}")
    if not found:
        what = f" of {wanted}" if wanted else ""
        say(f"No practice{what} is logged yet: sgputt drills log NAME --balls N --successes N")
    for each in found:
        say()
        _show_transfer(each, analysis.scored.baseline.name)


def _transfer_json(found: Transfer) -> dict[str, object]:
    return {
        "drill": found.drill.id,
        "drill_name": found.drill.name,
        "sets": found.sets,
        "first": str(found.first),
        "course": asdict(found.course),
        "change": asdict(found.change),
        "habit": None if found.stroke is None else asdict(found.stroke),
        "spreads": [asdict(each) for each in found.spreads],
        "verdict": found.verdict,
        "words": found.words,
        "shared_with": list(found.shared_with),
    }


def _show_transfer(found: Transfer, against: str) -> None:
    sets = plural(found.sets, "set")
    say(f"{found.drill.name}: {sets} since {found.first}")
    for line in (found.words, *_rates(found.course, against), *_change_words(found.change)):
        say_indented(line)
    if found.stroke is not None:
        say_indented(found.stroke.words)
    for each in found.spreads:
        say_indented(each.words)
    if found.shared_with:
        say_indented(
            f"Its effect cannot be separated from that of: {', '.join(found.shared_with)}."
        )


def _rates(course: CourseRate, against: str) -> list[str]:
    lines = [f"In practice {_rate_words(course.practice, against)}."]
    if course.course is not None:
        when = "in all rounds" if course.since is None else "since then"
        lines.append(f"On the course {when} {_rate_words(course.course, against)}.")
    return [*lines, f"{course.words[0].upper()}{course.words[1:]}."]


def _rate_words(rate: Rate, against: str) -> str:
    share = f"{rate.successes} of {rate.balls}, {100 * rate.rate:.0f} %"
    text = f"{share} (90 % interval {100 * rate.low:.0f} to {100 * rate.high:.0f} %)"
    if rate.expected is None:
        return text
    return f"{text}; '{against}' would hole {100 * rate.expected:.0f} %"


def _change_words(change: Change) -> list[str]:
    lines = []
    if change.value is not None:
        rounds = (plural(change.rounds_before, "round"), plural(change.rounds_after, "round"))
        lines.append(
            f"Strokes gained a round on what it trains: {signed(change.before)} before"
            f" ({rounds[0]}), {signed(change.after)} after ({rounds[1]})."
        )
        spread = (
            f" (90 % interval {interval(change.low, change.high)})"
            if change.low is not None
            else ""
        )
        lines.append(f"Beyond what your other putts did meanwhile: {signed(change.value)}{spread}.")
    if change.comes_back is not None and change.chance_improved is not None:
        if abs(change.comes_back) >= _WORTH_SAYING:
            spell = "bad" if change.comes_back > 0 else "good"
            lines.append(
                f"About {signed(change.comes_back)} was to be expected without practice: after"
                f" a {spell} spell luck evens out."
            )
        chance = chances(change.chance_improved)
        lines.append(f"Chance that these putts truly gained beyond your others: {chance}.")
    lines += [change.words] if change.verdict == "cannot tell" else []
    if change.rest is not None:
        lines.append(f"All other putting meanwhile: {signed(change.rest)} a round.")
    return lines


def undo_last(shared: Shared) -> None:
    """Take back the last entry of the log."""
    with open_log(shared) as archive:
        whose = whose_practice(shared, archive).name if shared.player is not None else None
        gone = SessionLog(archive).undo(whose)
    rows = gone.drop("pass_mark").to_dicts()
    if shared.as_json:
        write_json({"removed": rows})
        return
    say(f"Taken back: {plural(len(rows), 'set')}.")
    for row in rows:
        share = f"{row['successes']} of {row['balls']}"
        write_line(f"  {row['date']}  {row['drill']}  {share}  ({row['player']})")


def read_log(shared: Shared, file: Path, date_order: DateOrder | None, own: Path | None) -> bool:
    """Store the sets of a file, and say so; whether it had no problem."""
    with open_archive(shared, make=True) as archive:
        done = take_in_practice(file, archive, all_drills(own), shared.player, date_order)
    if shared.as_json:
        write_json(
            {
                "stored": done.added.stored,
                "unchanged": done.added.unchanged,
                "problems": [each.as_dict() for each in done.problems],
                "notes": done.notes,
            }
        )
    else:
        _say_read(file, done)
    return not done.problems


def _say_read(file: Path, done: PracticeIntake) -> None:
    for note in done.notes:
        write_line(f"Note: {note}", err=True)
    for problem in done.problems:
        write_line(f"Problem: {problem}", err=True)
    if done.problems:
        write_line(f"{file.name}: nothing was stored.", err=True)
        return
    if not done.sets:
        write_line(f"{file.name}: no set stands in it; nothing was stored.", err=True)
        return
    there = done.added.unchanged
    again = f"; stored before: {plural(there, 'set')}" if there else ""
    say(f"Stored {plural(len(done.added.stored), 'set')} of practice{again}.")
    say("Next: sgputt drills history   (to take it back: sgputt drills undo)")

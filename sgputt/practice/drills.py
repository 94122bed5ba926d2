"""The drill catalogue: what each drill works on, how it is set up, and what counts as a success.

Drills are data: ``data/reference/drills.toml``, and a file of the user's own in the same form.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from sgputt.errors import SgputtError
from sgputt.files import read_small
from sgputt.practice.drill_table import DrillProblem, DrillTable
from sgputt.practice.scoring import (
    BREAKS,
    SLOPES,
    USUAL_GRADE,
    Count,
    Gate,
    InARow,
    Scoring,
    Target,
)
from sgputt.putts.columns import LONGEST_FT
from sgputt.reference import reference_path
from sgputt.safe_text import shown
from sgputt.stroke.station import Station

KINDS = ("circle", "gate", "ladder", "pair", "one-ball", "pace-line", "random", "off-green")
CAUSES = ("read", "direction", "pace")
# Words of cards and of older drill files for the same.
_OTHER_CAUSES = {"aim": "direction", "stroke": "direction"}
HABITS = ("too little break", "too much break", "left", "right", "short", "long")
# Lengths in feet; a drill serves one when it trains most of it.
DISTANCES = {
    "3-7 ft": (3.0, 7.0),
    "7-15 ft": (7.0, 15.0),
    "15-30 ft": (15.0, 30.0),
    "30+ ft": (30.0, 60.0),
}
_LENGTHS_TRIED = 8
_SERVED_SHARE = 0.5
# Where a habit may show, for the table of drills that serve it.
HABIT_WHERE = {
    "too little break": ("any", "left to right", "right to left"),
    "too much break": ("any", "left to right", "right to left"),
    "left": ("any",),
    "right": ("any",),
    "short": ("any", "uphill", "downhill"),
    "long": ("any", "uphill", "downhill"),
}
TARGETS = {
    "count": ("hole", "circle", "strip", "past the hole", "high side", "past-window"),
    "in a row": ("hole", "circle"),
}
TYPES = ("count", "in a row", "gate", "streak")
STATIONS = {"count": "distance_ft", "in a row": "stations_ft", "gate": "distance_ft"}
# Where a station of a file that says the slope alone lies; across it, both breaks in turn.
_DIRECTIONS = {"uphill": (180.0,), "level": (90.0, -90.0), "downhill": (0.0,)}
CATALOGUE = "drills.toml"
# Far beyond any list of drills; more would take long to look through.
MOST_BYTES = 256 * 1024
MOST_DRILLS = 500
_MOST_SAID = 50
# Names within names take the square of their number to read.
_DEEP = re.compile(r"(?<![\w\"'-])(?:[\w\"'-]++[ \t]*+\.[ \t]*+){20}")
MAX_MINUTES = 25
MAX_BALLS = 90
SHORTEST_FT = 0.5
# Drills are set up on greens, which are hardly ever steeper.
STEEPEST_SET_UP = 0.05
_GATE_PUTT_FT = 8.0
# Numbers of the scoring that a drill's words may name: a set-up that fits the player changes them.
_PLACES = re.compile(r"\{(tees|in_a_row|radius|beyond|depth|width)\}")
SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class DrillFileError(SgputtError):
    """A drill file that cannot be used; ``problems`` lists everything wrong in it."""

    def __init__(self, problems: Iterable[DrillProblem]) -> None:
        self.problems = tuple(problems)
        count = f"{len(self.problems)} problem{'s' if len(self.problems) != 1 else ''}"
        lines = "".join(f"\n  {problem}" for problem in self.problems[:_MOST_SAID])
        more = len(self.problems) - _MOST_SAID
        lines += f"\n  and {more} more" if more > 0 else ""
        super().__init__(
            f"drills: {count}{lines}", f"The form is written at the head of {CATALOGUE}."
        )


@dataclass(frozen=True)
class Range:
    """Putts that a drill trains: lengths in feet, slopes along the line, breaks."""

    low_ft: float
    high_ft: float
    slopes: tuple[str, ...] = SLOPES
    breaks: tuple[str, ...] = BREAKS


@dataclass(frozen=True)
class Drill:
    """One drill; ``minutes`` and ``balls`` are those of one set, ``file`` is where it stands.

    ``cause`` is what it works on, the first most; ``habits`` what it is known to turn.
    """

    id: str
    name: str
    kind: str
    trains: tuple[Range, ...]
    cause: tuple[str, ...]
    habits: tuple[str, ...]
    balls: int
    minutes: int
    setup: str
    do: str
    success: str
    scoring: Scoring
    dose: str
    safety: str
    file: str
    written: tuple[str, ...] = ()

    @property
    def surface(self) -> str:
        """Surface it is putted from, in the words of the putts table."""
        return "off green" if self.kind == "off-green" else "green"

    def trains_putt(self, length_ft: float, slope: str, turn: str) -> bool:
        """Whether a putt of this length, slope and break is among those trained.

        A word that is none of :data:`SLOPES` or :data:`BREAKS` fits every range.
        """
        return any(
            each.low_ft < length_ft <= each.high_ft
            and (slope not in SLOPES or slope in each.slopes)
            and (turn not in BREAKS or turn in each.breaks)
            for each in self.trains
        )

    def trained_words(self) -> str:
        """Lengths, slopes and breaks in a few words."""
        return "; ".join(dict.fromkeys(_range_words(each) for each in self.trains))

    def set_up_as(self, scoring: Scoring, words: str = "") -> Drill:
        """The drill played by another scoring, its words in the new numbers.

        Parameters
        ----------
        scoring : Scoring
        words : str
            The change in words, added to a set-up that does not name the numbers changed.
        """
        if scoring == self.scoring:
            return self
        told = [filled(text, scoring) for text in self.written]
        if told == [self.setup, self.do, self.success, self.dose]:
            told[0] = f"{self.setup} {words}".rstrip()
        setup, do, success, dose = told
        return replace(
            self,
            scoring=scoring,
            balls=scoring.balls,
            setup=setup,
            do=do,
            success=success,
            dose=dose,
        )

    def part(self, balls: int, minutes: int) -> Drill:
        """A shorter set of it."""
        scoring = self.scoring.part(balls)
        return replace(self, scoring=scoring, balls=scoring.balls, minutes=minutes)

    def longest(self) -> Drill:
        """The drill as long as any set-up makes it."""
        return replace(self, scoring=self.scoring.longest())

    def as_dict(self) -> dict[str, Any]:
        """The keys of a drill file, for JSON."""
        ranges = [
            {
                "low_ft": each.low_ft,
                "high_ft": each.high_ft,
                "slopes": list(each.slopes),
                "breaks": list(each.breaks),
            }
            for each in self.trains
        ]
        words = ("id", "name", "kind", "balls", "minutes", "setup", "do", "success", "dose")
        return {
            **{key: getattr(self, key) for key in words},
            "safety": self.safety,
            "trains": ranges,
            "cause": list(self.cause),
            "habits": list(self.habits),
            "scoring": self.scoring.as_dict(),
        }


def _range_words(each: Range) -> str:
    words = f"{each.low_ft:g}-{each.high_ft:g} ft"
    for some, all_of in ((each.slopes, SLOPES), (each.breaks, BREAKS)):
        if set(some) != set(all_of):
            words += f", {' and '.join(some)}"
    return words


def filled(text: str, scoring: Scoring) -> str:
    """Words of a drill with the numbers of a scoring in their places."""
    numbers = scoring.numbers()
    return _PLACES.sub(lambda place: numbers.get(place[1], place[0]), text)


def load_drills(extra: Path | None = None) -> tuple[Drill, ...]:
    """Read the catalogue, and behind it the drills of a file of the user's own.

    Raises
    ------
    DrillFileError
        A file cannot be read or has mistakes; all of one file are listed. A drill of the user's
        may not take an id of the catalogue.

    Examples
    --------
    >>> import sgputt
    >>> "circle-of-eight-5ft" in {drill.id for drill in sgputt.load_drills()}
    True
    """
    drills = _catalogue()
    if extra is None:
        return drills
    return drills + _read(extra, frozenset(drill.id for drill in drills))


@cache
def _catalogue() -> tuple[Drill, ...]:
    return _read(reference_path(CATALOGUE), frozenset())


@cache
def load_caution() -> str:
    """Read the word of caution that belongs once at the head of a practice plan."""
    data, problems = _parse(reference_path(CATALOGUE))
    head = DrillTable(CATALOGUE, "", data, problems).table("catalogue")
    caution = head.text("caution") if head else ""
    if problems:
        raise DrillFileError(problems)
    return caution


def _read(path: Path, taken: frozenset[str]) -> tuple[Drill, ...]:
    data, problems = _parse(path)
    top = DrillTable(path.name, "", data, problems)
    tables = top.tables("drill")
    top.close({"drill", "catalogue"})
    drills = tuple(_drill(table) for table in tables)
    for name, times in Counter(drill.id for drill in drills if drill.id).items():
        if times > 1 or name in taken:
            where = "the catalogue" if name in taken else "this file"
            allowed = "an id that no other drill has"
            found = f"{name!r}, which {where} has already,"
            hint = f"Try '{name}-2'."
            problems.append(DrillProblem(path.name, name, "id", found, allowed, hint))
    if problems:
        raise DrillFileError(problems)
    return drills


def _parse(path: Path) -> tuple[dict[str, Any], list[DrillProblem]]:
    allowed, hint = "TOML in UTF-8", ""
    try:
        text = read_small(path, MOST_BYTES).decode("utf-8-sig")
        if _DEEP.search(text):
            found, allowed = "a name in more than 20 parts", "names as in the catalogue"
        else:
            data = tomllib.loads(text)
            drills = data.get("drill")
            if not isinstance(drills, list) or len(drills) <= MOST_DRILLS:
                return data, []
            found, allowed = f"{len(drills)} drills", f"at most {MOST_DRILLS}"
    except SgputtError as exc:
        found, allowed, hint = f"nothing to read ({exc.what})", "a drill file", exc.hint
    # The last of these: numbers of thousands of digits, and tables within tables without end.
    except (UnicodeDecodeError, ValueError, RecursionError) as exc:
        found = f"a mistake ({shown(str(exc), 120)})"
    raise DrillFileError([DrillProblem(str(path), "", "file", found, allowed, hint)])


def _drill(table: DrillTable) -> Drill:
    table.close({*Drill.__dataclass_fields__} - {"file", "written"})
    balls = table.whole("balls", MAX_BALLS)
    scoring = _scoring(table.table("scoring"), balls)
    written = tuple(table.text(key) for key in ("setup", "do", "success", "dose"))
    setup, do, success, dose = (filled(text, scoring) for text in written)
    causes = table.some_of("cause", (*CAUSES, *_OTHER_CAUSES))
    drill = Drill(
        id=table.text("id"),
        name=table.text("name"),
        kind=table.one_of("kind", KINDS),
        trains=tuple(_range(each) for each in table.tables("trains")),
        cause=tuple(dict.fromkeys(_OTHER_CAUSES.get(each, each) for each in causes)),
        habits=table.some_of("habits", HABITS) if "habits" in table.data else (),
        balls=balls,
        minutes=table.whole("minutes", MAX_MINUTES),
        setup=setup,
        do=do,
        success=success,
        scoring=scoring,
        dose=dose,
        safety=table.text("safety") if "safety" in table.data else "",
        file=table.file,
        written=written,
    )
    if drill.id and not SLUG.fullmatch(drill.id):
        slug = "-".join(re.findall(r"[a-z0-9]+", drill.id.lower()))
        table.wrong("id", "small letters, digits and hyphens", f"Try {slug!r}." if slug else "")
    return drill


def _range(table: DrillTable) -> Range:
    # Files of version 0.1 say "component" too; what a drill trains no longer depends on it.
    table.close({*Range.__dataclass_fields__, "component"})
    low = table.number("low_ft", 0, LONGEST_FT)
    high = table.number("high_ft", 0, LONGEST_FT)
    if high <= low and table.data.keys() >= {"low_ft", "high_ft"}:
        table.wrong("high_ft", f"more than low_ft, which is {low:g}")
    slopes = table.some_of("slopes", SLOPES) if "slopes" in table.data else SLOPES
    breaks = table.some_of("breaks", BREAKS) if "breaks" in table.data else BREAKS
    return Range(low, high, slopes, breaks)


def _scoring(table: DrillTable | None, balls: int) -> Scoring:
    nothing = Count(balls, Target("hole"), ())
    kind = table.one_of("type", TYPES) if table else ""
    if table is None or not kind:
        return nothing
    kind = "in a row" if kind == "streak" else kind
    allowed = {"type", "slope", "direction_deg", "grade", STATIONS[kind]}
    target = Target("gate")
    if kind == "gate":
        allowed |= {"balls", "gate_ft", "width_in", "successes"}
    else:
        target = _target(table, kind)
        allowed |= {"target", *_SIZES.get(target.name, ())}
        if kind == "count":
            allowed |= {"balls", "window_ft"}
    if kind != "in a row":
        scored = table.whole("balls", MAX_BALLS)
        if scored and balls and scored != balls:
            table.wrong("balls", f"the balls of the drill, {balls}")
    if target.name:
        table.close(allowed)
    stations = _stations(table, STATIONS[kind], kind == "gate")
    if kind == "count" and stations and balls % len(stations):
        nearest = max(1, balls // len(stations)) * len(stations)
        table.wrong("balls", f"a multiple of the {len(stations)} stations", f"Try {nearest}.")
    if kind == "count":
        return Count(balls, target, stations)
    if kind == "in a row":
        return InARow(balls, target, stations)
    return Gate(
        balls,
        target,
        stations,
        gate_ft=table.number("gate_ft", 0.5, 20) or 1.0,
        width_in=table.number("width_in", 1.7, 24),
        successes=table.whole("successes", balls or MAX_BALLS),
    )


_SIZES = {
    "circle": ("radius_ft", "beyond_ft"),
    "strip": ("depth_ft",),
    "past the hole": ("depth_ft",),
    "high side": ("depth_ft",),
}


def _target(table: DrillTable, kind: str) -> Target:
    name = table.one_of("target", TARGETS[kind])
    # "past-window" with window_ft is the strip of version 0.1.
    old = name == "past-window"
    name = "strip" if old else name
    sizes = _SIZES.get(name, ())
    key = "window_ft" if old else sizes[0] if sizes else ""
    size = table.number(key, 0.25, 20) if key else None
    beyond = table.number("beyond_ft", 0, 5) if "beyond_ft" in table.data else 0.0
    return Target(name, size, beyond)


def _stations(table: DrillTable, key: str, gate: bool) -> tuple[Station, ...]:
    lengths: tuple[float, ...] = (_GATE_PUTT_FT,)
    if not gate or key in table.data:
        lengths = table.numbers(key, SHORTEST_FT, LONGEST_FT)
    grade = table.number("grade", 0, STEEPEST_SET_UP) if "grade" in table.data else USUAL_GRADE
    many = len(lengths)
    if "direction_deg" in table.data:
        given = table.data["direction_deg"]
        toward = tuple(
            table.numbers("direction_deg", -180, 180)
            if isinstance(given, list)
            else (table.number("direction_deg", -180, 180),) * many
        )
        if toward and many and len(toward) != many:
            table.wrong("direction_deg", f"a number, or a list of one for each of {many} stations")
            toward = ()
    else:
        toward = _from_slopes(table, many, "uphill" if gate else "level")
    if len(toward) != many:
        toward = (180.0,) * many
    return tuple(
        Station(length, direction_deg=angle, grade=grade)
        for length, angle in zip(lengths, toward, strict=True)
    )


def _from_slopes(table: DrillTable, many: int, usual: str) -> tuple[float, ...]:
    given = table.data.get("slope", usual)
    if isinstance(given, str) and given in SLOPES:
        slopes = (given,) * many
    else:
        slopes = table.some_of("slope", SLOPES) if isinstance(given, list) else ()
        if not isinstance(given, list) or (slopes and many and len(slopes) != many):
            words = " or ".join(SLOPES)
            table.wrong("slope", f"{words}, or a list with one for each of {many} stations")
            return ()
    return tuple(
        _DIRECTIONS[slope][at % len(_DIRECTIONS[slope])] for at, slope in enumerate(slopes)
    )


def serving_table(drills: Sequence[Drill]) -> list[dict[str, Any]]:
    """Drills by cause, distance, slope and break.

    Returns
    -------
    list of dict
        ``cause, distance, slope, break, drills``. A read of a straight putt is left out: there is
        nothing to read across the line.
    """
    return [
        {
            "cause": cause,
            "distance": label,
            "slope": slope,
            "break": turn,
            "drills": [
                drill.id
                for drill in drills
                if cause in drill.cause and _serves(drill, low, high, slope, turn)
            ],
        }
        for cause in CAUSES
        for label, (low, high) in DISTANCES.items()
        for slope in SLOPES
        for turn in BREAKS
        if (cause, turn) != ("read", "straight")
    ]


def _serves(drill: Drill, low_ft: float, high_ft: float, slope: str, turn: str) -> bool:
    if drill.surface != "green":
        return False
    lengths = [
        low_ft + (high_ft - low_ft) * (at + 0.5) / _LENGTHS_TRIED for at in range(_LENGTHS_TRIED)
    ]
    trained = sum(drill.trains_putt(length, slope, turn) for length in lengths)
    return trained >= _SERVED_SHARE * _LENGTHS_TRIED


def habit_table(drills: Sequence[Drill]) -> list[dict[str, Any]]:
    """Drills by habit and where it shows: ``habit, where, drills``, those that keep to it first."""
    found = []
    for habit in HABITS:
        for where in HABIT_WHERE[habit]:
            fit = [
                drill
                for drill in drills
                if habit in drill.habits and drill.surface == "green" and _trains(drill, where)
            ]
            fit.sort(key=lambda drill: (not _keeps_to(drill, where), drill.id))
            found.append({"habit": habit, "where": where, "drills": [each.id for each in fit]})
    return found


def _trains(drill: Drill, where: str) -> bool:
    return any(where in (*each.slopes, *each.breaks, "any") for each in drill.trains)


def _keeps_to(drill: Drill, where: str) -> bool:
    return where != "any" and all((where,) in (each.slopes, each.breaks) for each in drill.trains)

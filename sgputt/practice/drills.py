"""The drill catalogue: what each drill trains, how it is set up, and what counts as a success.

Drills are data: ``data/reference/drills.toml``, and a file of the user's own in the same form.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from sgputt.errors import SgputtError
from sgputt.practice.drill_table import DrillProblem, DrillTable
from sgputt.putts.bands import RANGES_FT
from sgputt.reference import reference_path

KINDS = ("circle", "gate", "ladder", "pair", "one-ball", "pace-line", "random", "off-green")
COMPONENTS = ("holing", "leave")
SLOPES = ("uphill", "level", "downhill")
CAUSES = ("read", "aim", "stroke", "pace")
TARGETS = {"count": ("hole", "circle", "past-window"), "streak": ("hole", "circle")}
TYPES = ("count", "streak", "gate")
STATIONS = {"count": "distance_ft", "streak": "stations_ft"}
SIZES = {"circle": ("radius_ft", "beyond_ft"), "past-window": ("window_ft",)}
CATALOGUE = "drills.toml"
MAX_MINUTES = 25
MAX_BALLS = 90
SHORTEST_FT = 0.5
LONGEST_FT = 100.0
SIXTEENTHS = 16
MM_IN_AN_INCH = 25.4
# Numbers of the scoring that a drill's words may name: a set-up that fits the player changes them.
_PLACES = re.compile(r"\{(tees|in_a_row|radius|width)\}")
SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class DrillFileError(SgputtError):
    """A drill file that cannot be used; ``problems`` lists everything wrong in it."""

    def __init__(self, problems: Iterable[DrillProblem]) -> None:
        self.problems = tuple(problems)
        count = f"{len(self.problems)} problem{'s' if len(self.problems) != 1 else ''}"
        lines = "".join(f"\n  {problem}" for problem in self.problems)
        super().__init__(
            f"drills: {count}{lines}", f"The form is written at the head of {CATALOGUE}."
        )


@dataclass(frozen=True)
class Target:
    """A component of strokes gained, a range of lengths in feet and slopes along the line."""

    component: str
    low_ft: float
    high_ft: float
    slopes: tuple[str, ...]


@dataclass(frozen=True)
class Scoring:
    """What one success is, for pass marks. Feet, except ``width_in``; None: not of this type.

    ``stations_ft`` and ``slopes`` go together, one a station; a count shares its balls evenly
    among them, a streak takes one ball each in order and starts again on a miss, a gate has none.
    ``balls`` is one set; of a streak, the most before the set is over. ``beyond_ft`` is how far
    past the hole the middle of the circle lies.
    """

    type: str
    target: str
    balls: int
    stations_ft: tuple[float, ...] = ()
    slopes: tuple[str, ...] = ()
    radius_ft: float | None = None
    beyond_ft: float = 0.0
    window_ft: float | None = None
    gate_ft: float | None = None
    width_in: float | None = None
    successes: int | None = None


@dataclass(frozen=True)
class Drill:
    """One drill; ``minutes`` and ``balls`` are those of one set, ``file`` is where it stands."""

    id: str
    name: str
    kind: str
    trains: tuple[Target, ...]
    cause: tuple[str, ...]
    balls: int
    minutes: int
    setup: str
    do: str
    success: str
    scoring: Scoring
    dose: str
    safety: str
    file: str
    written: tuple[str, str, str] = ("", "", "")

    def set_up_as(self, scoring: Scoring, words: str = "") -> Drill:
        """The drill played by another scoring, its set-up and what to do in the new numbers.

        Parameters
        ----------
        scoring : Scoring
        words : str
            The change in words, added to a set-up that does not name the numbers changed.
        """
        if scoring == self.scoring:
            return self
        told = [filled(text, scoring) for text in self.written]
        if told == [self.setup, self.do, self.dose]:
            told[0] = f"{self.setup} {words}".rstrip()
        setup, do, dose = told
        return replace(self, scoring=scoring, setup=setup, do=do, dose=dose)

    @property
    def surface(self) -> str:
        """Surface it is putted from, in the words of the putts table."""
        return "off green" if self.kind == "off-green" else "green"

    def covers(self, band: str, slope: str, component: str, surface: str = "green") -> float:
        """Share of a distance band that the drill trains, 0 to 1.

        Parameters
        ----------
        band : str
            A label of :mod:`sgputt.putts.bands`.
        slope : str
            uphill, level or downhill; any other word is a mean over the three.
        component : str
            holing or leave.
        surface : str
            green or off green; a drill from the one does not count for the other.
        """
        if surface != self.surface:
            return 0.0
        low, high = RANGES_FT[band]
        slopes = (slope,) if slope in SLOPES else SLOPES
        spans = [
            [
                (max(low, target.low_ft), min(high, target.high_ft))
                for target in self.trains
                if target.component == component and each in target.slopes
            ]
            for each in slopes
        ]
        return sum(map(_union, spans)) / ((high - low) * len(slopes))


def filled(text: str, scoring: Scoring) -> str:
    """Words of a drill with the numbers of a scoring in their places."""
    numbers = {"tees": listed(scoring.stations_ft), "in_a_row": str(len(scoring.stations_ft))}
    if scoring.radius_ft is not None:
        numbers["radius"] = f"{scoring.radius_ft:g}"
    if scoring.width_in is not None:
        numbers["width"] = inches(scoring.width_in)
    return _PLACES.sub(lambda place: numbers.get(place[1], place[0]), text)


def listed(lengths_ft: tuple[float, ...]) -> str:
    """Different lengths in their order: ``3, 4 and 5``."""
    each = [f"{length:g}" for length in dict.fromkeys(lengths_ft)]
    return " and ".join(", ".join(part) for part in (each[:-1], each[-1:]) if part)


def inches(width_in: float) -> str:
    """A width as on a rule: ``2 1/8 inches (54 mm)``."""
    sixteenths = round(width_in * SIXTEENTHS)
    whole, part = divmod(sixteenths, SIXTEENTHS)
    share = f" {Fraction(part, SIXTEENTHS)}" if part else ""
    return f"{whole}{share} inches ({width_in * MM_IN_AN_INCH:.0f} mm)"


def _union(spans: list[tuple[float, float]]) -> float:
    covered, reached = 0.0, 0.0
    for low, high in sorted(spans):
        covered += max(0.0, high - max(low, reached))
        reached = max(reached, high)
    return covered


def load_drills(extra: Path | None = None) -> tuple[Drill, ...]:
    """Read the catalogue, and behind it the drills of a file of the user's own.

    Raises
    ------
    DrillFileError
        A file cannot be read or has mistakes; all of one file are listed. A drill of the user's
        may not take an id of the catalogue.
    """
    drills = _read(reference_path(CATALOGUE), frozenset())
    if extra is None:
        return drills
    return drills + _read(extra, frozenset(drill.id for drill in drills))


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
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig")), []
    except OSError as exc:
        found, allowed = f"nothing to read ({exc.strerror})", "the path of a drill file"
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as exc:
        found, allowed = f"a mistake ({exc})", "TOML in UTF-8"
    raise DrillFileError([DrillProblem(str(path), "", "file", found, allowed)])


def _drill(table: DrillTable) -> Drill:
    table.close({*Drill.__dataclass_fields__} - {"file", "written"})
    balls = table.whole("balls", MAX_BALLS)
    scoring = _scoring(table.table("scoring"), balls)
    written = (table.text("setup"), table.text("do"), table.text("dose"))
    setup, do, dose = (filled(text, scoring) for text in written)
    drill = Drill(
        id=table.text("id"),
        name=table.text("name"),
        kind=table.one_of("kind", KINDS),
        trains=tuple(_target(each) for each in table.tables("trains")),
        cause=table.some_of("cause", CAUSES),
        balls=balls,
        minutes=table.whole("minutes", MAX_MINUTES),
        setup=setup,
        do=do,
        success=table.text("success"),
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


def _target(table: DrillTable) -> Target:
    table.close({*Target.__dataclass_fields__})
    low = table.number("low_ft", 0, LONGEST_FT)
    high = table.number("high_ft", 0, LONGEST_FT)
    if high <= low and table.data.keys() >= {"low_ft", "high_ft"}:
        table.wrong("high_ft", f"more than low_ft, which is {low:g}")
    return Target(table.one_of("component", COMPONENTS), low, high, table.some_of("slopes", SLOPES))


def _scoring(table: DrillTable | None, balls: int) -> Scoring:
    kind = table.one_of("type", TYPES) if table else ""
    if table is None or not kind:
        return Scoring("", "", balls)
    if kind == "gate":
        return _gate(table, balls)
    target = table.one_of("target", TARGETS[kind])
    stations_key = STATIONS[kind]
    allowed = {"type", "target", "slope", stations_key, *SIZES.get(target, ())}
    if kind == "count":
        allowed.add("balls")
        _same_balls(table, balls)
    if target:
        table.close(allowed)
    stations = table.numbers(stations_key, SHORTEST_FT, LONGEST_FT)
    if kind == "count" and stations and balls % len(stations):
        nearest = max(1, balls // len(stations)) * len(stations)
        table.wrong("balls", f"a multiple of the {len(stations)} stations", f"Try {nearest}.")
    return Scoring(
        kind,
        target,
        balls,
        stations,
        _slopes(table, len(stations)),
        radius_ft=table.number("radius_ft", 0.25, 20) if target == "circle" else None,
        beyond_ft=table.number("beyond_ft", 0, 5) if "beyond_ft" in table.data else 0.0,
        window_ft=table.number("window_ft", 0.25, 20) if target == "past-window" else None,
    )


def _gate(table: DrillTable, balls: int) -> Scoring:
    table.close({"type", "balls", "gate_ft", "width_in", "successes"})
    _same_balls(table, balls)
    return Scoring(
        "gate",
        "gate",
        balls,
        gate_ft=table.number("gate_ft", 0.5, 20),
        width_in=table.number("width_in", 1.7, 24),
        successes=table.whole("successes", balls or MAX_BALLS),
    )


def _same_balls(table: DrillTable, balls: int) -> None:
    scored = table.whole("balls", MAX_BALLS)
    if scored and balls and scored != balls:
        table.wrong("balls", f"the balls of the drill, {balls}")


def _slopes(table: DrillTable, stations: int) -> tuple[str, ...]:
    given = table.data.get("slope", "level")
    if isinstance(given, str) and given in SLOPES:
        return (given,) * stations
    slopes = table.some_of("slope", SLOPES) if isinstance(given, list) else ()
    if not isinstance(given, list) or (slopes and stations and len(slopes) != stations):
        words = " or ".join(SLOPES)
        table.wrong("slope", f"{words}, or a list with one for each of {stations} stations")
    return slopes

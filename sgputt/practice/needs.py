"""What a player needs to get better at: a cause, a habit, or a departure in one place.

Each with what one step of it is worth, and whether the rounds tell it from luck: a habit by the
report of the stroke, a spread that is out of line with the player's others, a departure that the
stroke does not explain. All are looked at together, so each asks for more than 19 chances in 20.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from sgputt.inference.cells import ANY
from sgputt.inference.intervals import LEVEL
from sgputt.physics.roll import Array
from sgputt.practice.brought import MeasuredSteps
from sgputt.practice.departures import Departure
from sgputt.practice.marks import KnownStroke, habit_word
from sgputt.practice.worth import step_factor
from sgputt.stroke.player import PART_OF, times_as_wide
from sgputt.wording import plural

# Rounds below which nothing is told: a choice from the study of this method.
ROUNDS_TO_TELL = 20
DEPARTURE = "departure"
# Habits that are worth less a round than this, halved, are not told. A choice.
_LEAST_HABIT = 0.05
# A habit that is not told is named, as one that may be luck, from this chance on. A choice.
LIKELY = 0.9
# A spread stands out when it is wider than the mean of the others by more than this, in logarithms
# and each measured against the tour's. A choice, from the study of this method.
_OUT_OF_LINE = 0.25
# That it is so by luck, the three spreads looked at together.
_FALSE = 0.05
# From so many times as wide as a tour player's on, a spread is said to be wider.
_WIDER = 1.05
_SPREAD_WORDS = {
    "read": "the read",
    "direction_deg": "direction (start line and steady misreading)",
    "pace": "pace",
}
_CAUSE_OF = {part: cause for cause, part in PART_OF.items()}
_BOTH_BREAKS = ("less_left_to_right", "less_right_to_left")


@dataclass(frozen=True)
class Where:
    """Putts that something is about; ``any`` for all."""

    distance: str = ANY
    slope: str = ANY
    turn: str = ANY
    stimp: str = ANY

    def as_dict(self) -> dict[str, str]:
        """For JSON; ``stimp`` only where it is not any."""
        found = {"distance": self.distance, "slope": self.slope, "break": self.turn}
        return found if self.stimp == ANY else {**found, "stimp": self.stimp}


@dataclass(frozen=True)
class _Place:
    """Where the report of a stroke tells a habit of one part, and its words."""

    kind: str
    place: str
    cause: str
    where: Where = Where()
    words: str = ""


_PLACES = {
    "less_left_to_right": _Place(
        "break", "left to right", "read", Where(turn="left to right"), "on left-to-right putts "
    ),
    "less_right_to_left": _Place(
        "break", "right to left", "read", Where(turn="right to left"), "on right-to-left putts "
    ),
    "left_deg": _Place("degrees", "all", "direction"),
    "long": _Place("roll", "all", "pace"),
    "long_uphill": _Place("roll", "uphill", "pace", Where(slope="uphill"), "uphill "),
    "long_downhill": _Place("roll", "downhill", "pace", Where(slope="downhill"), "downhill "),
    "long_fast": _Place("roll", "fast greens", "pace", Where(stimp="fast"), "on fast greens "),
}


@dataclass(frozen=True)
class Need:
    """Something to get better at, and what one step of it is worth on the player's own putts.

    Attributes
    ----------
    parts : tuple of str
        Parts of the stroke that it is made of, or ``departure``.
    cause : str
        read, direction or pace.
    habit : str or None
        too little break, too much break, left, right, short, long.
    where : Where
    worth, low, high : float
        Strokes a round, expected and its 90 % interval over the uncertainty of the fit.
    told : bool
        Whether the rounds tell it from luck.
    words : str
        What it is, as a sentence without its end.
    """

    parts: tuple[str, ...]
    cause: str
    habit: str | None
    where: Where
    worth: float
    low: float
    high: float
    told: bool
    words: str

    @property
    def named(self) -> str:
        """Cause, habit and place in a few words: ``pace, short uphill``."""
        where = [word for word in (self.where.slope, self.where.turn) if word != ANY]
        habit = " ".join([self.habit, *where]) if self.habit else ""
        return ", ".join(filter(None, [self.cause, habit]))

    def of(self, worths: Mapping[str, float]) -> float:
        """What a drill brings for it, from the drill's worths by part."""
        return sum(worths.get(part, 0.0) for part in self.parts)


def range_of(known: KnownStroke, total: Array) -> tuple[float, float, float]:
    """Mean and 90 % interval of something over the strokes that may be the player's."""
    order = np.argsort(total)
    below = np.cumsum(known.chances[order])
    low, high = (
        float(total[order][np.searchsorted(below, edge).clip(max=len(order) - 1)])
        for edge in ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
    )
    return float(known.chances @ total), low, high


def needs_of(
    known: KnownStroke,
    worth: Mapping[str, Array],
    habits: Mapping[tuple[str, str], float],
    departure: Departure | None,
    measured: MeasuredSteps | None = None,
) -> list[Need]:
    """All needs of a player, told ones ahead, then by worth.

    Parameters
    ----------
    known : KnownStroke
    worth : mapping of str to ndarray, shape (strokes, kinds)
        From :func:`sgputt.practice.worth.worth_of_steps`.
    habits : mapping of (str, str) to float
        Told ones, from :func:`sgputt.stroke.causes.told_habits`.
    departure : Departure, optional
    measured : MeasuredSteps, optional
        Where ``worth`` is of such steps instead of assumed ones; what is told does not depend on
        it.
    """
    total = {part: each.sum(axis=1) for part, each in worth.items()}
    found = [_spread(known, part, total[part]) for part in PART_OF.values()]
    many = 1.0 if measured is None else measured.multiple(DEPARTURE)
    found += _habits(known, total, habits, _LEAST_HABIT * many)
    if departure is not None:
        found.append(_departure(departure, 1 - step_factor(known.best, DEPARTURE, measured)))
    return sorted(found, key=lambda need: (not need.told, -need.worth))


@dataclass(frozen=True)
class Width:
    """One spread of the stroke beside a tour player's.

    Attributes
    ----------
    cause : str
    times : float
        How many times as wide it is.
    widest : float
        Chance that none of the others is so many times as wide.
    """

    cause: str
    times: float
    widest: float


def widths(known: KnownStroke) -> list[Width]:
    """The three spreads beside a tour player's; of a player."""
    ratios = np.array(
        [[times_as_wide(stroke, part) for part in PART_OF.values()] for stroke in known.strokes]
    )
    most = ratios.argmax(axis=1)
    return [
        Width(
            cause,
            times_as_wide(known.best, part),
            float(known.chances @ (most == at)),
        )
        for at, (cause, part) in enumerate(PART_OF.items())
    ]


def _spread(known: KnownStroke, part: str, total: Array) -> Need:
    """A spread; told when it is out of line with the player's other spreads."""
    ratios = {
        each: np.log([times_as_wide(stroke, each) for stroke in known.strokes])
        for each in PART_OF.values()
    }
    others = np.mean([ratio for each, ratio in ratios.items() if each != part], axis=0)
    beyond = ratios[part] - others
    mean = float(known.chances @ beyond)
    error = float(np.sqrt(known.chances @ (beyond - mean) ** 2))
    told = float(ndtr((_OUT_OF_LINE - mean) / max(error, 1e-9))) * len(PART_OF) < _FALSE
    told = told and known.rounds >= ROUNDS_TO_TELL
    own = times_as_wide(known.best, part)
    wide = f"it spreads {own:.1f} times as wide as a tour player's"
    cause = _CAUSE_OF[part]
    words = f"a steadier {cause} gains strokes: {wide}"
    if own < _WIDER:
        words = f"a steadier {cause} gains strokes, although yours is as steady as a tour player's"
    if told:
        words = f"{_SPREAD_WORDS[part]} is out of line with the rest of your stroke: {wide}"
    elif not known.rounds:
        words = f"a steadier {cause} helps everybody"
    return Need((part,), cause, None, Where(), *range_of(known, total), told, words)


def _habits(
    known: KnownStroke,
    total: Mapping[str, Array],
    told: Mapping[tuple[str, str], float],
    least: float,
) -> list[Need]:
    """Habits that are likely; told are those that the stroke's own report tells, where it does."""
    wholes: dict[tuple[str, ...], _Place] = {(part,): place for part, place in _PLACES.items()}
    if ("break", "all") in told:
        wholes = {parts: place for parts, place in wholes.items() if parts[0] not in _BOTH_BREAKS}
        wholes[_BOTH_BREAKS] = _Place("break", "all", "read")
    needs = []
    for parts, place in wholes.items():
        values = np.array([getattr(stroke, parts[0]) for stroke in known.strokes])
        size = told.get((place.kind, place.place), float(known.chances @ values))
        word = habit_word(parts[0], size)
        # Strokes with the opposite habit have none of this one to lose.
        this_way = np.sign(values) == np.sign(size)
        likely = float(known.chances @ this_way) >= LIKELY
        value, low, high = range_of(known, this_way * sum(total[part] for part in parts))
        sure = (place.kind, place.place) in told and value >= least
        sure = sure and known.rounds >= ROUNDS_TO_TELL
        if not sure and not likely:
            continue
        words = f"{place.words}{_habit_words(place.kind, word, abs(size))}"
        words = words if sure else f"perhaps {words}: it may be luck"
        needs.append(Need(parts, place.cause, word, place.where, value, low, high, sure, words))
    return needs


def _habit_words(kind: str, word: str, size: float) -> str:
    if kind == "break":
        return f"you play about {100 * size:.0f} % of the break too {word.split()[1]}"
    if kind == "degrees":
        return f"you start putts {word}, by about {size:.1f} degrees"
    left = "leave putts short" if word == "short" else "hit putts too far"
    return f"you {left}, by about {100 * size:.0f} % of the roll"


def _departure(departure: Departure, gone: float) -> Need:
    worth = gone * departure.lost
    spread = gone * float(ndtri((1 + LEVEL) / 2)) * departure.error
    where = Where(f"{departure.low_ft:g}-{departure.high_ft:g} ft", departure.slope)
    slope = "" if departure.slope == ANY else f"{departure.slope} "
    words = (
        f"{slope}putts of {where.distance} cost you {departure.lost:.2f} strokes a round more than"
        " the rest of your stroke explains"
    )
    if departure.players:
        words += f", and more than {plural(departure.players, 'other player')} here"
    low, high = max(worth - spread, 0.0), worth + spread
    return Need((DEPARTURE,), departure.cause, None, where, worth, low, high, True, words)

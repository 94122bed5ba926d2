"""What to practise: the drill that is worth most to this player, and when none stands out.

A need is a cause (read, direction, pace), a habit, or a departure in one length or slope, with what
one step of it is worth. A need stands out when the rounds tell it: a habit that is more than luck,
a spread that is out of line with the player's others, a departure that their stroke does not
explain. Then its best drill comes first. Otherwise the drill that is worth most to players of this
level does, and is called a default.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import polars as pl

from sgputt.errors import TooFewError
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.practice.departures import Departure, departure_of
from sgputt.practice.drills import Drill
from sgputt.practice.log import Answer, answers, sharpened
from sgputt.practice.marks import (
    HABITS,
    SPREADS,
    KnownStroke,
    PassMark,
    habit_word,
    pass_mark,
)
from sgputt.practice.worth import (
    HOLES_IN_A_ROUND,
    MetPutts,
    drill_worths,
    met_putts,
    steps_of,
    worth_of_steps,
)
from sgputt.stroke.causes import told_habits
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.fitting import FittedStroke, fit_putting_stroke
from sgputt.stroke.player import START_LINE_SHARE, TOUR_STROKE, PuttingStroke
from sgputt.wording import chances

MOST_PRIORITIES = 5
# Rounds below which nothing is said to stand out: a choice from the study of this method.
FEWEST_ROUNDS = 20
# Strokes drawn from the fit.
DRAWS = 120
LEVEL = 0.90
# Habits worth less a round than this are not named.
_LEAST_HABIT = 0.05
# A spread stands out when it is this sure to be wider than the player's others are, by more than
# this share, each measured against the tour's. A choice, from the study of this method.
_SURE = 0.95
_OUT_OF_LINE = 0.25
_ALIKE_SPREAD = 0.15
# Chance from which a drill is clearly worth more than the default.
_CLEARLY = 0.8
# How far start lines differ among players of one direction, in the logarithm of their share.
_START_SHARE_SPREAD = 0.35
_START_SHARE_RANGE = (0.2, 0.95)
# Sets that a step takes, where no mark says: passed about one time in three, twice.
_USUAL_SETS = 6.0
_LEAST_PASSED = 0.1
# Less is shown as under 0.01.
_SHOWN = 0.005
ANY = "any"
# Putts of a round where no card tells: lengths in feet and how many. Common practice, no source.
_USUAL_PUTTS = (
    (2.0, 9.0),
    (3.0, 3.0),
    (4.0, 2.2),
    (5.0, 1.8),
    (6.5, 1.8),
    (8.0, 1.8),
    (10.0, 1.8),
    (13.0, 1.8),
    (17.0, 2.2),
    (22.0, 2.0),
    (30.0, 2.4),
    (40.0, 1.2),
    (55.0, 0.5),
)
# Spreads of a player of whom nothing is known, as multiples of the tour's.
_USUAL_LEVEL = 1.25
_SPREAD_WORDS = {
    "read": "the read",
    "direction_deg": "direction (start line and steady misreading)",
    "pace": "pace",
}
_CAUSE_OF = {part: cause for cause, part in SPREADS.items()}
_CAUSE_OF_HABIT = {
    "less_left_to_right": "read",
    "less_right_to_left": "read",
    "left_deg": "direction",
    "long": "pace",
    "long_uphill": "pace",
    "long_downhill": "pace",
    "long_fast": "pace",
}


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
class Need:
    """Something to get better at, and what one step of it is worth on the player's own putts.

    Attributes
    ----------
    key : str
        Part of the stroke, or ``departure``.
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

    key: str
    cause: str
    habit: str | None
    where: Where
    worth: float
    low: float
    high: float
    told: bool
    words: str


@dataclass(frozen=True)
class Priority:
    """A drill to do, and why.

    Attributes
    ----------
    drill : Drill
        Set up as its mark takes it.
    worth_per_round, low, high : float
        Strokes a round that all it trains is worth, expected, with its 90 % interval.
    worth_per_set : float
        A set's share of that: a step takes as many sets as it takes to pass the mark twice.
    chance_best : float
        Chance that no drill for another need is worth more.
    default : bool
        Whether it is what a player of this level is given while nothing stands out.
    """

    rank: int
    need: Need
    drill: Drill
    mark: PassMark
    why: str
    worth_per_round: float
    low: float
    high: float
    worth_per_set: float
    chance_best: float
    default: bool
    answer: Answer | None = None

    @property
    def minutes(self) -> int:
        """Of one set."""
        return self.drill.minutes

    @property
    def told(self) -> bool:
        """Whether the rounds tell what it is for from luck."""
        return self.need.told

    @property
    def pass_mark(self) -> str:
        """The player's own mark, in words."""
        return self.mark.text

    @property
    def set_up(self) -> str:
        """Why and how the drill is set up otherwise than in the catalogue."""
        return self.mark.set_up

    @property
    def sureness(self) -> str:
        """How far the rounds tell that it comes first, in words."""
        if self.default:
            return "a default for a player of your level: nothing stands out from your rounds yet."
        best = f"chance that nothing else is worth more: {chances(self.chance_best)}."
        return f"more than luck; {best}" if self.told else f"may be luck; {best}"

    @property
    def worth_words(self) -> str:
        """What it is worth, in words; nobody has measured what a drill brings."""
        if self.low == self.high:
            return f"about {self.worth_per_round:.2f} strokes a round to a player of this level"
        each = f"{self.worth_per_set:.2f}" if self.worth_per_set >= _SHOWN else "under 0.01"
        low, high = f"{self.low:.2f}", f"{self.high:.2f}"
        # Ends that round to one figure are no interval to read.
        reach = f" ({low} to {high})" if low != high else ""
        return f"about {self.worth_per_round:.2f} strokes a round for a step{reach}, {each} a set"

    def as_dict(self) -> dict[str, Any]:
        """The form that scripts may rely on."""
        return {
            "rank": self.rank,
            "cause": self.need.cause,
            "habit": self.need.habit,
            "where": self.need.where.as_dict(),
            "drill": self.drill.id,
            "why": self.why,
            "pass_mark": self.mark.text,
            "worth_per_round": self.worth_per_round,
            "low": self.low,
            "high": self.high,
            "worth_per_set": self.worth_per_set,
            "chance_best": self.chance_best,
            "minutes": self.minutes,
            "default": self.default,
        }


@dataclass(frozen=True)
class Decision:
    """What to practise.

    Attributes
    ----------
    rounds : int
    stands_out : bool
        Whether something is told from luck and its drill from the others.
    note : str
        Where nothing stands out: why, and what rounds would tell; else empty.
    needs : list of Need
        Worth most first, told ones ahead.
    priorities : list of Priority
        One drill a need; never empty unless there is no drill.
    known : KnownStroke
        What marks are worked out from.
    worths : dict of dict of float
        Expected worth of every drill by part of the stroke, strokes a round.
    since : list of str
        What the log changed: marks moved, drills rested; sentences.
    """

    rounds: int
    stands_out: bool
    note: str
    needs: list[Need]
    priorities: list[Priority]
    known: KnownStroke
    worths: dict[str, dict[str, float]]
    since: list[str] = field(default_factory=list)
    answers: dict[str, Answer] = field(default_factory=dict)
    yardstick: str = "one step better than your own stroke"

    @property
    def title(self) -> str:
        """What the first drill is."""
        if self.stands_out:
            return "Next drill"
        if self.priorities and self.priorities[0].default:
            return "A default for your level"
        return "Worth most to you all the same"

    @property
    def meaning(self) -> str:
        """What the worth says and does not."""
        return (
            f"Worth: strokes a round on your own putts if what a drill trains moves one step"
            f" (measured: {self.yardstick}); nobody has measured what a drill brings."
        )

    def as_dict(self, player: str | None) -> dict[str, Any]:
        """The form that scripts may rely on."""
        return {
            "player": player,
            "rounds": self.rounds,
            "stands_out": self.stands_out,
            "priorities": [each.as_dict() for each in self.priorities],
        }


def known_stroke(fit: FittedStroke | None) -> KnownStroke:
    """What a fit says of a stroke; without one nobody's.

    Each stroke drawn is given a start line of its own, since a card does not tell it.
    """
    if fit is None:
        return KnownStroke()
    drawn = fit.draws(DRAWS)
    rng = np.random.default_rng(DRAWS)
    spread = rng.normal(0.0, _START_SHARE_SPREAD, len(drawn))
    shares = np.clip(START_LINE_SHARE * np.exp(spread), *_START_SHARE_RANGE)
    strokes = tuple(
        replace(stroke, start_line_share=float(share))
        for stroke, share in zip(drawn, shares, strict=True)
    )
    return KnownStroke(fit.stroke, strokes, None, fit.putts, fit.rounds)


def known_from(putts: pl.DataFrame) -> KnownStroke:
    """What some putts say of a stroke; nobody's where they are too few."""
    try:
        return known_stroke(fit_putting_stroke(putts))
    except TooFewError:
        return known_stroke(None)


def decide(
    gained: pl.DataFrame,
    holes: int,
    fit: FittedStroke | None,
    drills: Sequence[Drill],
    sessions: pl.DataFrame | None = None,
    towards: tuple[str, PuttingStroke] | None = None,
    shown: frozenset[str] = frozenset(),
) -> Decision:
    """Rank drills by what they are worth to a player, and say whether one stands out.

    Parameters
    ----------
    gained : polars.DataFrame
        Putts of one player as scored; may be empty.
    holes : int
        Holes played.
    fit : FittedStroke or None
        The player's stroke; None when too few putts tell one.
    drills : sequence of Drill
    sessions : polars.DataFrame, optional
        The player's practice log, of :data:`sgputt.practice.session.SESSIONS_SCHEMA`.
    towards : (str, PuttingStroke), optional
        A name and a stroke to measure against instead of one step better than the own.
    shown : frozenset of str
        Drills whose practice shows on the course already: these are not rested.

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> scored = sgputt.score(demo_season(), sgputt.get_baseline())
    >>> fit = sgputt.fit_putting_stroke(scored.gained)
    >>> decision = sgputt.decide(scored.gained, scored.holes.height, fit, sgputt.load_drills())
    >>> decision.priorities[0].rank
    1
    """
    green = [drill for drill in drills if drill.surface == "green"]
    known = known_stroke(fit)
    log = {} if sessions is None else answers(sessions, drills, shown)
    if sessions is not None and known.somebody:
        known = sharpened(known, sessions, drills)
    rounds = 0 if fit is None else fit.rounds
    if fit is None:
        return _general(green, known, gained, holes, log)
    met = met_putts(gained, holes)
    steps = steps_of(known, towards[1] if towards else None)
    worth = worth_of_steps(known, steps, met)
    words = {part: habit_word(part, getattr(known.best, part)) for part in HABITS}
    start = _start_part(known) if known.gates_logged else 1.0
    by_drill = drill_worths(green, met, worth, words, start)
    departure = departure_of(gained, holes, expected_grid(known.best, USUAL_STIMP_FT))
    if departure is not None:
        _add_departure(by_drill, green, departure, len(known.strokes))
    needs = _needs(known, worth, words, departure, told_habits(fit, gained))
    ranked = _Ranking(green, known, by_drill, needs, log)
    told = [need for need in needs if need.told] if rounds >= FEWEST_ROUNDS else []
    level = None if told else _best_for_level(green, known, met)
    priorities = ranked.priorities(told, level, rounds)
    stands_out = bool(told)
    mean = {
        drill: {part: float(known.chances @ each) for part, each in parts.items()}
        for drill, parts in by_drill.items()
    }
    return Decision(
        rounds=rounds,
        stands_out=stands_out,
        note="" if stands_out else _note(rounds, needs),
        needs=needs,
        priorities=priorities,
        known=known,
        worths=mean,
        since=[answer.words for answer in log.values() if answer.words],
        answers=log,
        yardstick=f"the stroke of {towards[0]}" if towards else Decision.yardstick,
    )


def _start_part(known: KnownStroke) -> float:
    """Part of the spread of direction that is start line, as its share of the variance."""
    shares = np.array([each.start_line_share for each in known.strokes])
    return float(np.clip(known.chances @ shares**2 / START_LINE_SHARE**2, 0.0, 1.0))


def _needs(
    known: KnownStroke,
    worth: dict[str, Array],
    words: dict[str, str],
    departure: Departure | None,
    told: dict[tuple[str, str], float],
) -> list[Need]:
    needs = [_cause_need(known, part, worth[part]) for part in SPREADS.values()]
    needs += _habit_needs(known, worth, words, told)
    if departure is not None:
        needs.append(_departure_need(departure))
    return sorted(
        needs,
        key=lambda need: (not need.told, -need.worth * (_HABITS_FIRST if need.habit else 1.0)),
    )


def _range_of(known: KnownStroke, worth: Array) -> tuple[float, float, float]:
    """Mean and 90 % interval over strokes of what a step is worth on all putts."""
    total = worth.sum(axis=1) if worth.ndim > 1 else worth
    chances = known.chances
    order = np.argsort(total)
    below = np.cumsum(chances[order])
    low, high = (
        float(total[order][np.searchsorted(below, edge).clip(max=len(order) - 1)])
        for edge in ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
    )
    return float(chances @ total), low, high


def _cause_need(known: KnownStroke, part: str, worth: Array) -> Need:
    """A spread; told when it is out of line with the player's other spreads."""
    ratios = {
        each: np.log(
            [getattr(stroke, each) / getattr(TOUR_STROKE, each) for stroke in known.strokes]
        )
        for each in SPREADS.values()
    }
    others = [ratio for each, ratio in ratios.items() if each != part]
    # A spread that is hardly known says little of what is in line.
    sure_of = np.array([1 / (float(np.var(ratio)) + _ALIKE_SPREAD**2) for ratio in others])
    beyond = ratios[part] - (sure_of @ others) / sure_of.sum()
    sure = float(known.chances @ (beyond > _OUT_OF_LINE)) >= _SURE
    value, low, high = _range_of(known, worth)
    own = getattr(known.best, part) / getattr(TOUR_STROKE, part)
    words = f"{_SPREAD_WORDS[part]} is out of line with the rest of your stroke"
    words = words if sure else f"steadier {_CAUSE_OF[part]} pays"
    words += f": it spreads {own:.1f} times as wide as a tour player's"
    return Need(part, _CAUSE_OF[part], None, Where(), value, low, high, sure, words)


def _habit_needs(
    known: KnownStroke,
    worth: dict[str, Array],
    words: dict[str, str],
    told: dict[tuple[str, str], float],
) -> list[Need]:
    """Habits; told are those that the stroke's own report tells, in the same places."""
    found = {_PART_OF[kind, where]: value for (kind, where), value in told.items()}
    values = np.array([[getattr(stroke, part) for part in HABITS] for stroke in known.strokes])
    mean = dict(zip(HABITS, known.chances @ values, strict=True))
    both = ("less_left_to_right", "less_right_to_left")
    needs = []
    if "less" in found:
        value = _range_of(known, worth[both[0]] + worth[both[1]])
        word = habit_word(both[0], found["less"])
        text = _habit_words("less", word, abs(found["less"]), "")
        sure = value[0] >= _LEAST_HABIT
        needs.append(Need("less", "read", word, Where(), *value, sure, text))
    for part in HABITS:
        if part in both and "less" in found:
            continue
        value = _range_of(known, worth[part])
        size = abs(found.get(part, float(mean[part])))
        text = _habit_words(part, words[part], size, _WHERE_WORDS.get(part, ""))
        sure = part in found and value[0] >= _LEAST_HABIT
        where = _WHERE.get(part, Where())
        needs.append(Need(part, _CAUSE_OF_HABIT[part], words[part], where, *value, sure, text))
    return needs


# Where the report of a stroke tells a habit, and the part of the stroke that is worked on.
_PART_OF = {
    ("break", "all"): "less",
    ("break", "left to right"): "less_left_to_right",
    ("break", "right to left"): "less_right_to_left",
    ("degrees", "all"): "left_deg",
    ("roll", "all"): "long",
    ("roll", "uphill"): "long_uphill",
    ("roll", "downhill"): "long_downhill",
    ("roll", "fast greens"): "long_fast",
}
_WHERE = {
    "less_left_to_right": Where(turn="left to right"),
    "less_right_to_left": Where(turn="right to left"),
    "long_uphill": Where(slope="uphill"),
    "long_downhill": Where(slope="downhill"),
    "long_fast": Where(stimp="fast"),
}
_WHERE_WORDS = {
    "less_left_to_right": "on left-to-right putts ",
    "less_right_to_left": "on right-to-left putts ",
    "long_uphill": "uphill ",
    "long_downhill": "downhill ",
    "long_fast": "on fast greens ",
}


def _habit_words(part: str, word: str, size: float, where: str) -> str:
    if part.startswith("less"):
        much = f"about {100 * size:.0f} % of the break too {word.split()[1]}"
        return f"{where}you play {much}"
    if part == "left_deg":
        return f"you start putts {word}, by about {size:.1f} degrees"
    left = "leave putts short" if word == "short" else "hit putts too far"
    return f"{where}you {left}, by about {100 * size:.0f} % of the roll"


def _departure_need(departure: Departure) -> Need:
    worth = departure.lost / 2
    spread = 1.645 * departure.error / 2
    where = Where(f"{departure.low_ft:g}-{departure.high_ft:g} ft", departure.slope)
    slope = "" if departure.slope == ANY else f"{departure.slope} "
    words = (
        f"{slope}putts of {where.distance} cost you {departure.lost:.2f} strokes a round more than"
        " the rest of your stroke explains"
    )
    return Need(
        "departure",
        departure.cause,
        None,
        where,
        worth,
        max(worth - spread, 0.0),
        worth + spread,
        True,
        words,
    )


def _add_departure(
    by_drill: dict[str, dict[str, Array]],
    drills: Sequence[Drill],
    departure: Departure,
    strokes: int,
) -> None:
    """Half of a departure, as of a habit, to the drills of its cause by how much they cover."""
    for drill in drills:
        if departure.cause in drill.cause:
            low, high = max(departure.low_ft, 1.0), departure.high_ft
            lengths = np.exp(np.linspace(np.log(low), np.log(high), 20))
            covered = np.mean([drill.trains_putt(x, departure.slope, ANY) for x in lengths])
            wholly = departure.slope == ANY or all(
                departure.slope in each.slopes for each in drill.trains
            )
            if covered > 0 and wholly:
                slopes = {word for each in drill.trains for word in each.slopes}
                focus = 1.0 if departure.slope == ANY else 1 / len(slopes)
                gain = departure.lost / 2 * float(covered) / len(drill.cause) * focus
                by_drill[drill.id]["departure"] = np.full(strokes, gain)


class _Ranking:
    """Drills in order of expected worth, one a need."""

    def __init__(
        self,
        drills: Sequence[Drill],
        known: KnownStroke,
        by_drill: dict[str, dict[str, Array]],
        needs: Sequence[Need],
        log: dict[str, Answer],
        marked: KnownStroke | None = None,
    ) -> None:
        self.drills = {drill.id: drill for drill in drills}
        self.known, self.log = known, log
        self.marked = marked or known
        self.needs = list(needs)
        self.total = {
            name: np.sum(list(parts.values()), axis=0) for name, parts in by_drill.items()
        }
        self.parts = {
            name: {part: float(known.chances @ each) for part, each in parts.items()}
            for name, parts in by_drill.items()
        }
        self.mean = {name: float(known.chances @ each) for name, each in self.total.items()}

    def for_need(self, need: Need, drill: str) -> float:
        """What a drill is worth for one need."""
        parts = self.parts[drill]
        if need.key == "less":
            return parts.get("less_left_to_right", 0.0) + parts.get("less_right_to_left", 0.0)
        return parts.get(need.key, 0.0)

    def best(self, need: Need, without: set[str]) -> str | None:
        """Drill worth most of those that work on a need; a drill that rests is passed over."""
        fit = {
            name: self.for_need(need, name) * _focus(need.where, drill)
            for name, drill in self.drills.items()
            if name not in without and not self._resting(name)
        }
        most = max(fit.values(), default=0.0)
        if most <= 0:
            return None
        if replace(need.where, stimp=ANY) != Where():
            return max(fit, key=lambda name: (fit[name], name))
        # Of those that bring most of what can be had for the need, the one worth most in all.
        near = [name for name, value in fit.items() if value >= _MOST_OF_IT * most]
        return max(near, key=lambda name: (self.mean[name], name))

    def _resting(self, name: str) -> bool:
        return name in self.log and self.log[name].rests

    def priorities(
        self, told: Sequence[Need], level: str | None, rounds: int = 0
    ) -> list[Priority]:
        """Told needs first; without any the drill clearly worth most, else the level's default.

        Then the others by their best drill.
        """
        chosen: list[tuple[Need, str, bool]] = []
        used: set[str] = set()
        for need in told:
            drill = self.best(need, used)
            if drill is not None:
                chosen.append((need, drill, False))
                used.add(drill)
        if not chosen and level is not None:
            best = max(
                (name for name in self.drills if not self._resting(name)),
                key=lambda name: (self.mean[name], name),
                default=level,
            )
            ahead = self.total[best] > self.total[level]
            clear = rounds >= FEWEST_ROUNDS and float(self.known.chances @ ahead) >= _CLEARLY
            first = best if clear else level
            chosen.append((self._main_need(first), first, not clear))
            used.add(first)
        done = {need.key for need, _, _ in chosen}
        rest = []
        for need in self.needs:
            drill = None if need.key in done else self.best(need, used)
            if drill is not None and need.worth > 0 and need.habit is None:
                rest.append((need, drill, False))
                used.add(drill)
        rest.sort(key=lambda each: -self.mean[each[1]])
        chosen += rest
        return [
            self._priority(rank, *each) for rank, each in enumerate(chosen[:MOST_PRIORITIES], 1)
        ]

    def _main_need(self, drill: str) -> Need:
        causes = [need for need in self.needs if need.habit is None and need.key != "departure"]
        return max(causes, key=lambda need: self.for_need(need, drill))

    def _priority(self, rank: int, need: Need, drill: str, default: bool) -> Priority:
        answer = self.log.get(drill)
        mark = pass_mark(self.drills[drill], self.marked, answer.harder if answer else 0)
        value, low, high = _range_of(self.known, np.asarray(self.total[drill]))
        why = f"{need.words[:1].upper()}{need.words[1:]}"
        return Priority(
            rank=rank,
            need=need,
            drill=mark.drill,
            mark=mark,
            why=why,
            worth_per_round=value,
            low=low,
            high=high,
            worth_per_set=value / sets_of_a_step(mark),
            chance_best=self._chance_best(need, drill),
            default=default,
            answer=answer,
        )

    def _chance_best(self, need: Need, drill: str) -> float:
        others = [
            name
            for name in self.drills
            if name != drill
            and self.for_need(need, name) < _MOST_OF_IT * self.for_need(need, drill)
        ]
        if not others:
            return 1.0
        rivals = np.max([self.total[name] for name in others], axis=0)
        return float(self.known.chances @ (np.asarray(self.total[drill]) >= rivals))


# A drill counts as one for a need when it brings this share of what the best one would.
_MOST_OF_IT = 0.7
# A habit comes before a spread worth up to so many times as much: it is one thing to change.
_HABITS_FIRST = 2.0
# How much a drill that keeps to the slope or break of a need is preferred to one worth a little
# more: a choice, from the study of regret.
_FOCUS = 0.15


def sets_of_a_step(mark: PassMark) -> float:
    """Sets that a step takes: as many as it takes to pass the mark twice as the player putts now.

    An assumption; nobody has measured how much practice a step takes.
    """
    return _USUAL_SETS if mark.passed_now is None else 2 / max(mark.passed_now, _LEAST_PASSED)


def _focus(where: Where, drill: Drill) -> float:
    """How far a drill keeps to the slope and break of a need, 1 at most."""
    share = 1.0
    for word, trained in (
        (where.slope, {s for each in drill.trains for s in each.slopes}),
        (where.turn, {b for each in drill.trains for b in each.breaks}),
    ):
        share *= 1.0 if word == ANY else 1 / len(trained)
    return float(share**_FOCUS)


def level_stroke(known: KnownStroke) -> PuttingStroke:
    """A stroke of the player's level without habits: the tour's spreads, all wider alike."""
    if not known.somebody:
        factor = _USUAL_LEVEL
    else:
        ratios = [
            np.log(getattr(known.best, part) / getattr(TOUR_STROKE, part))
            for part in SPREADS.values()
        ]
        factor = float(np.exp(np.mean(ratios)))
    return TOUR_STROKE.changed(**dict.fromkeys(SPREADS.values(), factor))


def _best_for_level(drills: Sequence[Drill], known: KnownStroke, met: MetPutts) -> str | None:
    """The drill worth most to a player of this level on these putts."""
    level = KnownStroke(level_stroke(known))
    steps = [step for step in steps_of(level) if step.part in SPREADS.values()]
    by_drill = drill_worths(drills, met, worth_of_steps(level, steps, met), {})
    total = {
        name: float(sum(each[0] for each in parts.values())) for name, parts in by_drill.items()
    }
    return max(total, key=lambda name: (total[name], name), default=None)


def usual_putts() -> MetPutts:
    """Putts of a usual round, for players whose own are not known."""
    frame = pl.DataFrame(
        {
            "distance_ft": [length for length, _ in _USUAL_PUTTS],
            "surface": "green",
            "result": "holed",
            "slope": "unknown",
            "break": "unknown",
            "stimp_ft": USUAL_STIMP_FT,
        }
    )
    met = met_putts(frame, HOLES_IN_A_ROUND)
    often = dict(_USUAL_PUTTS)
    return replace(met, per_round=met.per_round * [often[float(x)] for x in met.length_ft])


def _general(
    drills: Sequence[Drill],
    known: KnownStroke,
    gained: pl.DataFrame,
    holes: int,
    log: dict[str, Answer],
) -> Decision:
    """A decision for a player whose putts are too few to tell their stroke."""
    level = KnownStroke(level_stroke(known))
    met = usual_putts()
    steps = [step for step in steps_of(level) if step.part in SPREADS.values()]
    worth = worth_of_steps(level, steps, met)
    by_drill = drill_worths(drills, met, worth, {})
    needs = [
        Need(
            part,
            _CAUSE_OF[part],
            None,
            Where(),
            *_range_of(level, worth[part]),
            False,
            f"a steadier {_CAUSE_OF[part]} helps everybody",
        )
        for part in SPREADS.values()
    ]
    needs.sort(key=lambda need: -need.worth)
    ranking = _Ranking(drills, level, by_drill, needs, log, known)
    first = _best_for_level(drills, known, met)
    found = [replace(each, default=True) for each in ranking.priorities([], first)[:1]]
    rounds = gained.select("date", "round").n_unique() if gained.height else 0
    note = (
        f"Nothing can be told of your putting yet: {_stored(rounds)}."
        f" About {FEWEST_ROUNDS} rounds with slope, break and how you missed would tell a habit or"
        " a weakness as large as a stroke a round."
    )
    return Decision(rounds, False, note, needs, found, known, {}, [], log)


def _stored(rounds: int) -> str:
    return (
        "no round is stored" if rounds == 0 else f"{rounds} round{'s' if rounds > 1 else ''} so far"
    )


def _note(rounds: int, needs: Sequence[Need]) -> str:
    if rounds < FEWEST_ROUNDS:
        return (
            f"Nothing stands out yet, and in {rounds} rounds nothing can: about {FEWEST_ROUNDS}"
            " tell a habit or a weakness as large as a stroke a round."
        )
    return (
        "Nothing stands out: no habit, and no part of your stroke is out of line with the rest."
        " More rounds would tell smaller ones."
    )

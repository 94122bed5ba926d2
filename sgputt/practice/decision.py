"""What to practise: the drill that is worth most to this player, and when nothing stands out.

Of every drill: what all that it trains is expected to bring a round, over the strokes that may be
the player's. With few rounds those are the strokes of players at large, with many the player's
own, so one rule serves any number of rounds. What the rounds tell from luck
(:mod:`sgputt.practice.needs`) counts for more: a told habit is one thing to change, and gets a
drill that works on it. While nothing is told, the first drill is a default and called one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import polars as pl

from sgputt.errors import TooFewError
from sgputt.inference.cells import ANY
from sgputt.physics.roll import Array
from sgputt.practice.brought import MeasuredSteps
from sgputt.practice.departures import NO_SHAPE, Departure, Shape, departure_of, surpluses
from sgputt.practice.drills import Drill
from sgputt.practice.log import Answer, answers, sharpened
from sgputt.practice.marks import (
    KnownStroke,
    PassMark,
    pass_mark,
)
from sgputt.practice.needs import (
    DEPARTURE,
    LIKELY,
    ROUNDS_TO_TELL,
    Need,
    Where,
    needs_of,
    range_of,
    widths,
)
from sgputt.practice.worth import (
    drill_worths,
    met_putts,
    step_factor,
    steps_of,
    usual_putts,
    worth_of_steps,
)
from sgputt.putts.table import ROUND_KEY
from sgputt.stroke.causes import told_habits
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.fitting import FittedStroke, fit_putting_stroke
from sgputt.stroke.player import HABITS, PART_OF, START_LINE_SHARE, TOUR_STROKE, PuttingStroke
from sgputt.wording import chances, plural, worth_shown

ASSUMED = "assumed"
MOVED = "the assumed one, moved by what practice has brought in this archive"
MOST_PRIORITIES = 5
# Strokes drawn from the fit.
DRAWS = 120
# A drill works on a need when it brings this share of what the best one would.
_MOST_OF_IT = 0.7
# What a told habit is worth counts so many times: it is one thing to change, once turned it is so
# from every length, and what is known of its size is drawn toward none. A told spread or departure
# counts hardly more than its worth. Choices, from the study of regret and from golfers of another
# simulator.
_HABITS_FIRST = 3.0
_TOLD_FIRST = 1.1
# How far start lines differ among players of one direction, in the logarithm of their share.
_START_SHARE_SPREAD = 0.35
_START_SHARE_RANGE = (0.2, 0.95)
# Sets that a step takes, where no mark says: passed about one time in three, twice.
_USUAL_SETS = 6.0
_LEAST_PASSED = 0.1
# Spreads are called much alike where the widest is less than so many times the narrowest, beside a
# tour player's. A choice.
_MUCH_ALIKE = 1.25
_ONE_THING = "It comes first, although others are worth more: a habit is one thing to change."
# Of a habit that was halved three times next to nothing is left. A choice.
_HARDLY_A_HABIT = 0.5**3
# Spreads of a player of whom nothing is known, as multiples of the tour's. A choice.
_USUAL_LEVEL = 1.25


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
    towards: str = ""

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
            return "a default: nothing stands out from your rounds yet."
        best = f"chance that nothing else is worth more: {chances(self.chance_best)}."
        return f"more than luck; {best}" if self.told else f"may be luck; {best}"

    @property
    def worth_words(self) -> str:
        """What it is worth, in words."""
        value = f"{worth_shown(self.worth_per_round)} strokes a round"
        if self.low == self.high:
            return f"{value} to a player of this level"
        each = worth_shown(self.worth_per_set).removeprefix("about ")
        low, high = f"{self.low:.2f}", f"{self.high:.2f}"
        # Ends that round to one figure are no interval to read.
        reach = f" ({low} to {high})" if low != high else ""
        if self.towards:
            return f"{value} were what it trains as good as that of {self.towards}{reach}"
        return f"{value} for a step{reach}, {each} a set"

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
        Whether something is told from luck.
    note : str
        Where nothing stands out: why, and what rounds would tell. Where what stands out does not
        come first, or comes before drills that are worth more: why. Else empty.
    needs : list of Need
        Worth most first, told ones ahead.
    priorities : list of Priority
        One drill a need, and a second where the first has balls that the habit is not about; never
        empty unless there is no drill.
    known : KnownStroke
        What marks are worked out from.
    worths : dict of dict of float
        Expected worth of every drill by part of the stroke, strokes a round.
    since : list of str
        What the log changed: marks moved, drills rested; sentences.
    step : str
        What a step is, in words: ``assumed``, or moved by what practice has brought.
    measured : MeasuredSteps or None
        What it has brought, where that is the step.
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
    step: str = ASSUMED
    measured: MeasuredSteps | None = None

    @property
    def title(self) -> str:
        """What the first drill is."""
        return "Next drill" if self.stands_out else "A default for your level"

    @property
    def meaning(self) -> str:
        """What the worth says and does not."""
        return (
            f"Worth: strokes a round on your own putts if what a drill trains moves one step"
            f" (measured: {self.yardstick}); {self.step_meaning}."
        )

    @property
    def step_meaning(self) -> str:
        """What a step is, as a sentence without its end."""
        if self.measured is None:
            return f"the step is {ASSUMED}: nobody has measured what a drill brings"
        return f"the step is {self.step}"

    def as_dict(self, player: str | None) -> dict[str, Any]:
        """The form that scripts may rely on."""
        return {
            "player": player,
            "rounds": self.rounds,
            "stands_out": self.stands_out,
            "priorities": [each.as_dict() for each in self.priorities],
            "step": self.step,
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
    measured: MeasuredSteps | None = None,
    shape: Shape = NO_SHAPE,
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
    measured : MeasuredSteps, optional
        What practice has brought in this archive, from
        :func:`sgputt.practice.brought.measured_steps`: in place of the assumed step for the worth
        of drills. Marks stay aimed at an assumed step, which says how hard a set is, not what it
        brings.
    shape : Shape
        What other players gain by place beyond their strokes; the model's, none, unless given.

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
    own = known_stroke(fit)
    played = gained["date"].max()
    log = {}
    if sessions is not None:
        log = answers(sessions, drills, shown, played if isinstance(played, dt.date) else None)
    if sessions is not None and own.somebody:
        own = sharpened(own, sessions, drills)
    known = own if own.somebody else _anybody()
    met = usual_putts()
    if fit is not None:
        met = replace(met_putts(gained, holes), grade=fit.grade)
    steps = steps_of(known, towards[1] if towards else None, measured)
    worth = worth_of_steps(known, steps, met)
    start = _start_part(known) if known.gates_logged else 1.0
    by_drill = drill_worths(green, met, worth, known.strokes, start)
    departure = None
    if known.rounds >= ROUNDS_TO_TELL:
        own_grid = expected_grid(known.best, grade=met.grade)
        departure = departure_of(surpluses(gained, holes, own_grid), known.rounds, shape)
    if departure is not None:
        lost = departure.lost * (1 - step_factor(known.best, DEPARTURE, measured))
        _add_departure(by_drill, green, departure, lost, len(known.strokes))
    habits = {} if fit is None else told_habits(fit, gained)
    needs = needs_of(known, worth, habits, departure, measured)
    ranking = _Ranking(green, known, by_drill, needs, log, own, towards, measured)
    priorities = ranking.priorities()
    stands_out = any(need.told for need in needs)
    rounds = known.rounds
    if fit is None:
        rounds = gained.select(ROUND_KEY).n_unique() if gained.height else 0
    return Decision(
        rounds=rounds,
        stands_out=stands_out,
        note=_note(rounds, None if fit is None else own, needs, priorities),
        needs=needs,
        priorities=priorities if own.somebody else priorities[:1],
        known=own,
        worths=ranking.parts if own.somebody else {},
        since=[answer.words for answer in log.values() if answer.words],
        answers=log,
        yardstick=f"the stroke of {towards[0]}" if towards else Decision.yardstick,
        step=ASSUMED if measured is None else _step_words(known.best, measured),
        measured=measured,
    )


def _anybody() -> KnownStroke:
    """A stroke for a player of whom nothing is known: a good amateur's, without habits."""
    level = TOUR_STROKE.changed(**dict.fromkeys(PART_OF.values(), _USUAL_LEVEL))
    return KnownStroke(level, (level,))


def _start_part(known: KnownStroke) -> float:
    """Part of the spread of direction that is start line, as its share of the variance."""
    shares = np.array([each.start_line_share for each in known.strokes])
    return float(np.clip(known.chances @ shares**2 / START_LINE_SHARE**2, 0.0, 1.0))


def _add_departure(
    by_drill: dict[str, dict[str, Array]],
    drills: Sequence[Drill],
    departure: Departure,
    lost: float,
    strokes: int,
) -> None:
    """What a step of a departure brings to the drills of its cause, by how much they cover."""
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
                gain = lost * float(covered) / len(drill.cause) * focus
                by_drill[drill.id][DEPARTURE] = np.full(strokes, gain)


class _Ranking:
    """Drills in order of expected worth, one a need."""

    def __init__(
        self,
        drills: Sequence[Drill],
        known: KnownStroke,
        by_drill: dict[str, dict[str, Array]],
        needs: Sequence[Need],
        log: dict[str, Answer],
        marked: KnownStroke,
        towards: tuple[str, PuttingStroke] | None,
        measured: MeasuredSteps | None,
    ) -> None:
        self.drills = {drill.id: drill for drill in drills}
        self.known, self.needs, self.log, self.marked = known, needs, log, marked
        self.towards, self.measured = towards, measured
        self.total = {
            name: np.sum(list(parts.values()), axis=0) for name, parts in by_drill.items()
        }
        self.parts = {
            name: {part: float(known.chances @ each) for part, each in parts.items()}
            for name, parts in by_drill.items()
        }
        self.free = {name for name in self.drills if name not in log or not log[name].rests}

    def worth(self, name: str) -> tuple[float, str]:
        """Expected worth of a drill; no tie is broken by the order of the catalogue."""
        return sum(self.parts[name].values()), name

    def serving(self, need: Need, among: set[str]) -> set[str]:
        """Drills that bring most of what can be had for a need."""
        brings = {name: need.of(self.parts[name]) for name in among}
        most = max(brings.values(), default=0.0)
        return {name for name, each in brings.items() if each >= _MOST_OF_IT * most > 0}

    def first(self) -> tuple[Need, str] | None:
        """The first drill, and what it is for.

        For the told habit that is worth most, unless a drill for something else is worth more than
        that habit counts; else the drill worth most.
        """
        other = self._for_no_habit()
        told = [need for need in self.needs if need.told and need.habit]
        for need in sorted(told, key=lambda each: (-each.worth, each.parts)):
            names = self.serving(need, self.free)
            if names and other is not None:
                drill = max(names, key=self.worth)
                more = (_HABITS_FIRST - 1) * need.worth
                if self.worth(drill)[0] + more >= other[2]:
                    return need, drill
        return None if other is None else other[:2]

    def _for_no_habit(self) -> tuple[Need, str, float] | None:
        """The drill worth most, the need it serves most, and its worth as it counts.

        What is told counts for a little more; and so does a spread that is likely the widest, so
        that it decides between drills that are worth the same.
        """
        ahead = dict.fromkeys(self.free, 1.0)
        widest = {each.cause: each.widest for each in widths(self.known)}
        rest = [need for need in self.needs if not (need.told and need.habit)]
        for need in rest:
            more = 0.0 if need.habit else 1.0 if need.told else widest[need.cause]
            for name in self.serving(need, self.free) if more else ():
                ahead[name] = max(ahead[name], 1 + (_TOLD_FIRST - 1) * more)
        counted = {name: self.worth(name)[0] * ahead[name] for name in self.free}
        drill = max(self.free, key=lambda name: (counted[name], name), default=None)
        if drill is None:
            return None
        served = [each for each in rest if each.told and drill in self.serving(each, self.free)]
        need = max(served or rest, key=lambda each: each.of(self.parts[drill]))
        return need, drill, counted[drill]

    def priorities(self) -> list[Priority]:
        """The first drill, those for what is told, then for the other causes by their best one.

        Behind a first drill that is for a habit of one slope or break, and has balls elsewhere too,
        comes one that has none.
        """
        first = self.first()
        if first is None:
            return []
        chosen, free = [first], self.free - {first[1]}
        if not self._keeps_to(first[1], first[0].where):
            there = {name for name in free if self._keeps_to(name, first[0].where)}
            names = self.serving(first[0], there)
            if names:
                chosen.append((first[0], max(names, key=self.worth)))
                free = free - {chosen[-1][1]}
        for told in (True, False):
            found = []
            for need in self.needs:
                if need.told != told or need is first[0] or not (told or need.habit is None):
                    continue
                names = self.serving(need, free)
                if names and need.worth > 0:
                    drill = max(names, key=self.worth)
                    found.append((need, drill))
                    free = free - {drill}
            chosen += sorted(found, key=lambda each: self.worth(each[1]), reverse=True)
        default = not any(need.told for need in self.needs)
        return [
            self._priority(rank, need, drill, default and rank == 1)
            for rank, (need, drill) in enumerate(chosen[:MOST_PRIORITIES], 1)
        ]

    def _keeps_to(self, name: str, where: Where) -> bool:
        """Whether all that a drill trains is on one slope and of one break; yes for any."""
        return all(
            (where.slope == ANY or each.slopes == (where.slope,))
            and (where.turn == ANY or each.breaks == (where.turn,))
            for each in self.drills[name].trains
        )

    def _priority(self, rank: int, need: Need, drill: str, default: bool) -> Priority:
        answer = self.log.get(drill)
        mark = pass_mark(self.drills[drill], self.marked, answer.harder if answer else 0)
        value, low, high = range_of(self.known, np.asarray(self.total[drill]))
        others = self.free - self.serving(need, self.free) - {drill}
        best = 1.0
        if others:
            rivals = np.max([self.total[name] for name in others], axis=0)
            best = float(self.known.chances @ (np.asarray(self.total[drill]) >= rivals))
        return Priority(
            rank=rank,
            need=need,
            drill=mark.drill,
            mark=mark,
            why=f"{need.words[:1].upper()}{need.words[1:]}",
            worth_per_round=value,
            low=low,
            high=high,
            worth_per_set=value / sets_of_a_step(mark) / self._steps(drill),
            chance_best=best,
            default=default,
            answer=answer,
            towards=self.towards[0] if self.towards else "",
        )

    def _steps(self, drill: str) -> float:
        """Own steps that the way to another's stroke takes, by what most of the worth is of."""
        parts = self.parts[drill]
        if self.towards is None or not parts:
            return 1.0
        part = max(parts, key=lambda name: (parts[name], name))
        gap = _HARDLY_A_HABIT
        if part in PART_OF.values():
            gap = getattr(self.towards[1], part) / getattr(self.known.best, part)
        step = step_factor(self.known.best, part, self.measured)
        return max(float(np.log(gap) / np.log(step)), 1.0) if step > 0 else 1.0


def _step_words(own: PuttingStroke, measured: MeasuredSteps) -> str:
    """The step that is taken, where there are changes, by the player's own assumed steps.

    Few changes of a part hardly move it, so that it is not called what practice has brought.
    """
    said, behind = [], measured.behind
    for cause, part in (*PART_OF.items(), ("a habit", HABITS[0])):
        if measured.changes_of(part):
            smaller = f"{100 * (1 - step_factor(own, part, measured)):.0f} %"
            word = "narrower" if part in PART_OF.values() else "smaller"
            nothing = " (nothing that shows; the least that is taken)"
            said.append(f"{cause} {smaller} {word}{nothing if measured.least(part) else ''}")
    if not all(measured.changes.values()):
        behind += "; the other parts go some of the way with it"
    return f"{MOVED}: {', '.join(said)}, after {behind}"


def sets_of_a_step(mark: PassMark) -> float:
    """Sets that a step takes: as many as it takes to pass the mark twice as the player putts now.

    An assumption; nobody has measured how much practice a step takes.
    """
    return _USUAL_SETS if mark.passed_now is None else 2 / max(mark.passed_now, _LEAST_PASSED)


def _note(
    rounds: int, own: KnownStroke | None, needs: Sequence[Need], priorities: Sequence[Priority]
) -> str:
    """Why nothing stands out, or why what does comes later."""
    told = [need for need in needs if need.told]
    if told:
        if not priorities:
            return ""
        first = priorities[0]
        if first.told:
            most = max(each.worth_per_round for each in priorities)
            more = most > first.worth_per_round
            more = more and worth_shown(most) != worth_shown(first.worth_per_round)
            return _ONE_THING if more and first.need.habit else ""
        words = told[0].words
        return f"What stands out: {words}. Yet another drill pays more strokes, so it comes first."
    size = "a habit or a weakness as large as a stroke a round"
    if own is None:
        so_far = f"{plural(rounds, 'round')} so far" if rounds else "no round is stored"
        return (
            f"Nothing can be told of your putting yet: {so_far}. About {ROUNDS_TO_TELL} rounds with"
            f" slope, break and how you missed would tell {size}."
        )
    if rounds < ROUNDS_TO_TELL:
        return (
            f"Nothing stands out yet, and in {rounds} rounds nothing can: about {ROUNDS_TO_TELL}"
            f" tell {size}."
        )
    return (
        "Nothing stands out beyond doubt: no habit, and no part of your stroke."
        f" {_widest_words(own, priorities)} More rounds would tell smaller differences."
    )


def _widest_words(own: KnownStroke, priorities: Sequence[Priority]) -> str:
    """Which part is likely the widest, though no more can be told, and why it may come later."""
    first, *others = sorted(widths(own), key=lambda each: -each.times)
    rest = ", ".join(f"{each.cause} {each.times:.1f}" for each in others)
    if first.widest < LIKELY:
        alike = first.times < _MUCH_ALIKE * others[-1].times
        how = "They spread much alike" if alike else "Which of them is the widest may be luck"
        return (
            f"{how}: {first.cause} spreads {first.times:.1f} times as wide as a tour player's,"
            f" {rest}."
        )
    words = (
        f"Beside a tour player's the {first.cause} is likely the widest: {first.times:.1f} times as"
        f" wide ({rest}); chance that it is: {chances(first.widest)}."
    )
    if priorities and first.cause not in priorities[0].drill.cause:
        words += f" Yet a steadier {priorities[0].need.cause} pays more strokes, so it comes first."
    return words

"""What fills the minutes of a session, a week or a warm-up, and goals with a date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

from sgputt.practice.decision import Decision, Priority, sets_of_a_step
from sgputt.practice.drills import Drill
from sgputt.practice.marks import (
    PassMark,
    has_mark,
    pass_mark,
)
from sgputt.practice.needs import DEPARTURE
from sgputt.practice.worth import step_factor
from sgputt.wording import plural

# Minutes. Two of rest after fifteen of work, as the catalogue's caution says; no block is longer
# than fifteen, and shorter than five is not worth setting up. Choices, no source.
BREAK_MINUTES = 2
WORK_MINUTES = 15
LEAST_MINUTES = 5
MOST_MINUTES = 240
UPKEEP_SHARE = 0.15
_UPKEEP_FROM = 30
MOST_SETS = 2
USUAL_SESSIONS = 4
MOST_SESSIONS = 14
WARM_UP_MINUTES = (10, 15)
_FEWEST_BALLS = 8
_UPKEEP_KINDS = ("one-ball", "random")
# What another set for the same part of the stroke is worth beside the first in a session, and how
# much of that comes back until the next session. Choices, no source.
_AGAIN = 0.5
_COMES_BACK = 0.6
SETS_A_WEEK = 4.0
DAYS_A_WEEK = 7
# Steps of a drill that a goal may count on, and strokes a round below which a step is not worth
# its sets. Choices.
MOST_STEPS = 3
_LEAST_STEP = 0.01
# Of a set that has fewer than half of a drill's balls.
NO_MARK = "too few balls for one; count what succeeds and log it."


@dataclass(frozen=True)
class Block:
    """Some minutes of a session.

    Attributes
    ----------
    kind : str
        ``drill`` or ``break``.
    role : str
        ``need``: for something the player needs; ``upkeep``: keeps up what is good; ``general``:
        for everybody; ``warm-up``; empty for a break.
    drill : Drill or None
        With the balls of this set, which may be fewer than the catalogue's, set up for the mark.
    full_balls : int
        Balls of a whole set of that drill.
    set_number : int
        2 for a second set of the same drill.
    mark : PassMark or None
        None for a break, in a warm-up, and of fewer than half of the balls of a set.
    worth_per_round : float or None
        Strokes a round that this set should bring; None where nothing of the player's is behind it.
    """

    kind: str
    minutes: int
    role: str = ""
    drill: Drill | None = None
    full_balls: int = 0
    set_number: int = 1
    mark: PassMark | None = None
    why: str = ""
    worth_per_round: float | None = None

    def as_dict(self, whose: str) -> dict[str, Any]:
        """For JSON; ``whose`` stroke marks are worked out from."""
        if self.drill is None:
            return {"kind": self.kind, "minutes": self.minutes}
        return {
            "kind": self.kind,
            "minutes": self.minutes,
            "role": self.role,
            "drill": self.drill.id,
            "drill_name": self.drill.name,
            "set": self.set_number,
            "balls": self.drill.balls,
            "full_balls": self.full_balls,
            "setup": self.drill.setup,
            "do": self.drill.do,
            "pass_mark": None if self.mark is None else self.mark.as_dict(whose),
            "why": self.why,
            "worth_per_round": self.worth_per_round,
        }


@dataclass(frozen=True)
class PlannedSession:
    """One session; its blocks fill its minutes."""

    number: int
    minutes: int
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Plan:
    """One session or several.

    Attributes
    ----------
    general : bool
        Whether nothing that stands out is behind it.
    note : str
        Why it is general; else empty.
    whose : str
        Whose stroke the pass marks are worked out from.
    worth_per_round : float
        What all sets should bring together, strokes a round of 18 holes.
    step : str
        What a step is, of which every set brings its share; a sentence without its end.
    """

    sessions: tuple[PlannedSession, ...]
    general: bool
    note: str
    whose: str
    worth_per_round: float
    step: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The form that scripts may rely on."""
        return {
            "general": self.general,
            "note": self.note,
            "pass_marks_from": self.whose,
            "worth_per_round": self.worth_per_round,
            "sessions": [
                {
                    "number": each.number,
                    "minutes": each.minutes,
                    "blocks": [block.as_dict(self.whose) for block in each.blocks],
                }
                for each in self.sessions
            ],
        }


def make_plan(decision: Decision, drills: Sequence[Drill], minutes: int, sessions: int = 1) -> Plan:
    """Share minutes among drills.

    Every session opens with a priority of the decision, the first session with the first; then
    comes block by block what is worth most a minute, where another set for the same part of the
    stroke counts half. At most two sets of one drill a session. About 15 % of a session of 30
    minutes of work or more goes to a game that keeps up the rest. The same decision gives the same
    plan.

    Parameters
    ----------
    decision : Decision
    drills : sequence of Drill
    minutes : int
        Of one session, 5 to 240.
    sessions : int
        Sessions, 1 to 14.

    Raises
    ------
    ValueError
        Minutes or sessions out of range.
    """
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES or not 1 <= sessions <= MOST_SESSIONS:
        raise ValueError(f"{sessions} sessions of {minutes} minutes")
    planner = _Planner(decision, [each for each in drills if each.surface == "green"])
    made = tuple(planner.session(number, minutes) for number in range(1, sessions + 1))
    worth = sum(block.worth_per_round or 0.0 for each in made for block in each.blocks)
    general = not decision.stands_out
    whose = decision.known.whose
    return Plan(made, general, decision.note, whose, worth, decision.step_meaning)


class _Planner:
    """Fills sessions one after the other."""

    def __init__(self, decision: Decision, drills: Sequence[Drill]) -> None:
        self.decision = decision
        self.drills = {drill.id: drill for drill in drills}
        self.left: dict[str, float] = {}
        self.upkeep_sets: dict[str, int] = {}
        self.why = {each.drill.id: each for each in decision.priorities}

    def session(self, number: int, minutes: int) -> PlannedSession:
        """The next session."""
        breaks = ceil(minutes / (WORK_MINUTES + BREAK_MINUTES)) - 1
        work = minutes - breaks * BREAK_MINUTES
        upkeep = round(UPKEEP_SHARE * minutes) if work >= _UPKEEP_FROM else 0
        self.left = {part: 1 - (1 - left) * (1 - _COMES_BACK) for part, left in self.left.items()}
        # Habits and what else is told take turns to open; else the first priority does.
        told = [each for each in self.decision.priorities if each.need.told]
        openers = told or self.decision.priorities[:1]
        opening = openers[(number - 1) % len(openers)] if openers else None
        blocks = self._filled(work - upkeep, opening)
        spare = work - sum(block.minutes for block in blocks)
        if upkeep:
            games = ceil(spare / WORK_MINUTES)
            for at in range(games):
                share = spare // games + (at < spare % games)
                blocks.append(self._upkeep(share, blocks))
        elif spare and blocks:
            blocks[-1] = replace(blocks[-1], minutes=blocks[-1].minutes + spare)
        # Where blocks are too few for all the breaks, the last block is given their minutes.
        short = BREAK_MINUTES * max(0, breaks - len(blocks) + 1)
        blocks[-1] = replace(blocks[-1], minutes=blocks[-1].minutes + short)
        return PlannedSession(number, minutes, tuple(_with_breaks(blocks, breaks)))

    def _filled(self, minutes: int, opening: Priority | None) -> list[Block]:
        blocks: list[Block] = []
        left = minutes
        while left >= LEAST_MINUTES:
            block = self._best(left, blocks, None if blocks else opening)
            if block is None:
                break
            left -= block.minutes
            _place(blocks, block)
        return blocks

    def _best(self, left: int, blocks: Sequence[Block], opening: Priority | None) -> Block | None:
        if opening is not None and opening.drill.id in self.drills:
            # In a few minutes a few balls of it do more than another drill.
            part = _part(self.drills[opening.drill.id], left, fewest=1)
            if part is not None:
                return self._block(part, 1)
        sets = [part for drill in self.drills.values() if (part := _part(drill, left)) is not None]
        sets = [part for part in sets if _sets_of(part.id, blocks) < MOST_SETS]
        if not sets:
            return None
        resting = {name for name, each in self.decision.answers.items() if each.rests}
        fresh = [part for part in sets if part.id not in resting] or sets
        fresh = [part for part in fresh if self._marked(part)] or fresh
        best = max(fresh, key=lambda part: (self._gain(part) / part.minutes, part.id))
        return self._block(best, _sets_of(best.id, blocks) + 1)

    def _gain(self, part: Drill) -> float:
        """What a set should bring, each part of the stroke by what the plan has left of it."""
        worth = self.decision.worths.get(part.id, {})
        share = part.balls / self.drills[part.id].balls
        return share * sum(self.left.get(name, 1.0) * value for name, value in worth.items())

    def _block(self, drill: Drill, set_number: int) -> Block:
        answer = self.decision.answers.get(drill.id)
        mark = pass_mark(drill, self.decision.known, answer.harder if answer else 0)
        worth = self.decision.worths.get(drill.id, {})
        gain = self._gain(drill) / sets_of_a_step(mark)
        for name, value in worth.items():
            if value > 0:
                self.left[name] = self.left.get(name, 1.0) * _AGAIN
        known = self.decision.known.somebody and bool(worth)
        return Block(
            kind="drill",
            minutes=drill.minutes,
            role="need" if known else "general",
            drill=mark.drill,
            full_balls=self.drills[drill.id].balls,
            set_number=set_number,
            mark=mark if self._marked(drill) else None,
            why=self._why(drill),
            worth_per_round=gain if known else None,
        )

    def _marked(self, part: Drill) -> bool:
        return has_mark(part.balls, self.drills[part.id].balls)

    def _why(self, drill: Drill) -> str:
        if drill.id in self.why:
            return self.why[drill.id].why
        for need in self.decision.needs:
            if need.told and need.habit in drill.habits:
                return f"{need.words[:1].upper()}{need.words[1:]}"
        return f"Works on {' and '.join(drill.cause)}, {drill.trained_words()}"

    def _upkeep(self, minutes: int, blocks: Sequence[Block]) -> Block:
        """A game with one ball or changing putts, another every session."""
        fit = [
            part for drill in self.drills.values() if (part := _part(drill, minutes)) is not None
        ]
        games = [part for part in fit if part.kind in _UPKEEP_KINDS] or fit
        games = [part for part in games if self._marked(part)] or games
        chosen = min(
            games,
            key=lambda part: (
                _sets_of(part.id, blocks),
                self.upkeep_sets.get(part.id, 0),
                part.kind not in _UPKEEP_KINDS[:1],
                -self._gain(part),
                part.id,
            ),
        )
        self.upkeep_sets[chosen.id] = self.upkeep_sets.get(chosen.id, 0) + 1
        block = self._block(chosen, _sets_of(chosen.id, blocks) + 1)
        return replace(
            block, minutes=minutes, role="upkeep", why="Keeps the rest up", worth_per_round=None
        )


def _sets_of(drill: str, blocks: Sequence[Block]) -> int:
    return sum(block.drill is not None and block.drill.id == drill for block in blocks)


def _place(blocks: list[Block], block: Block) -> None:
    """A second set behind the first, so that it is set up once."""
    assert block.drill is not None
    at = [n for n, each in enumerate(blocks) if each.drill and each.drill.id == block.drill.id]
    blocks.insert(at[-1] + 1 if at else len(blocks), block)


def _part(drill: Drill, minutes: int, fewest: int | None = None) -> Drill | None:
    """A set that fits some minutes, 15 at most; None when too few balls would be left."""
    fits = min(drill.minutes, WORK_MINUTES, minutes)
    if fits == drill.minutes:
        return drill
    part = drill.part(drill.balls * fits // drill.minutes, fits)
    least = max(len(set(drill.scoring.stations)), _FEWEST_BALLS) if fewest is None else fewest
    if part.balls < least or part.balls * drill.minutes > drill.balls * fits:
        return None
    # Whole rounds of the tees may leave minutes over.
    return replace(part, minutes=max(ceil(part.balls * drill.minutes / drill.balls), 1))


def _with_breaks(blocks: Sequence[Block], breaks: int) -> list[Block]:
    """Put breaks between blocks, as evenly as the blocks allow."""
    work = sum(block.minutes for block in blocks)
    ends = [sum(block.minutes for block in blocks[: n + 1]) for n in range(len(blocks) - 1)]
    chosen: set[int] = set()
    for number in range(1, breaks + 1):
        wanted = number * work / (breaks + 1)
        free = [at for at in range(len(ends)) if at not in chosen]
        if free:
            chosen.add(min(free, key=lambda at: abs(ends[at] - wanted)))
    rested: list[Block] = []
    for at, block in enumerate(blocks):
        rested.append(block)
        if at in chosen:
            rested.append(Block("break", BREAK_MINUTES))
    return rested


# Drills of a warm-up with their shares of the minutes, and what to do: the pace of the day first,
# then short putts that drop. Common practice, no source.
_WARM_UP = (
    (
        "strip-15-to-25ft",
        0.4,
        "Find the pace of the day: see how far balls roll up, down and across. No hole, no count.",
    ),
    (
        "up-and-down-8ft",
        0.25,
        "Watch how much the ball turns and how it dies at the hole. Do not change your stroke now.",
    ),
    ("circle-of-eight-3ft", 0.35, "See short putts drop, and stop on one that did."),
)


def warm_up(drills: Sequence[Drill], minutes: int = WARM_UP_MINUTES[0]) -> Plan:
    """A warm-up on the day's greens before a round: no marks, nothing to change.

    Parameters
    ----------
    drills : sequence of Drill
    minutes : int
        10 to 15.

    Raises
    ------
    ValueError
        Minutes out of range.
    """
    if not WARM_UP_MINUTES[0] <= minutes <= WARM_UP_MINUTES[1]:
        raise ValueError(f"a warm-up of {minutes} minutes")
    by_id = {drill.id: drill for drill in drills}
    blocks, left = [], minutes
    for at, (name, share, words) in enumerate(_WARM_UP):
        spent = left if at == len(_WARM_UP) - 1 else round(share * minutes)
        left -= spent
        drill = by_id[name]
        part = drill.part(max(3, drill.balls * spent // drill.minutes // 3 * 3), spent)
        part = replace(part, do=words)
        blocks.append(Block("drill", spent, "warm-up", part, drill.balls, 1, None, "Warm-up", None))
    note = "A warm-up, not practice: find the pace, see short putts drop, and go."
    return Plan((PlannedSession(1, minutes, tuple(blocks)),), True, note, "", 0.0)


def _left_by_a_step(decision: Decision, part: str) -> float:
    """What the next step of a part is worth beside the one before."""
    if decision.yardstick != Decision.yardstick:
        return 0.0
    if part == DEPARTURE:
        return step_factor(decision.known.best, part, decision.measured)
    return step_factor(decision.known.best, part, decision.measured) ** 2


@dataclass(frozen=True)
class Milestone:
    """A mark to pass twice by a day.

    Attributes
    ----------
    day : datetime.date
    step : int
        Of the same drill: the first, second or third.
    worth_per_round : float
        Strokes a round that the step is worth.
    """

    day: dt.date
    drill: str
    name: str
    step: int
    mark: PassMark
    worth_per_round: float

    def as_dict(self) -> dict[str, object]:
        """For JSON."""
        return {
            "day": str(self.day),
            "drill": self.drill,
            "step": self.step,
            "pass_mark": self.mark.text,
            "worth_per_round": self.worth_per_round,
        }


@dataclass(frozen=True)
class DatedGoal:
    """What may be reached by a day, at so many sets a week.

    Attributes
    ----------
    milestones : list of Milestone
        In order of their days.
    worth_per_round : float
        What they are worth together, strokes a round.
    """

    by: dt.date
    weeks: int
    sets_a_week: float
    milestones: list[Milestone]
    worth_per_round: float

    def as_dict(self) -> dict[str, object]:
        """For JSON."""
        return {
            "by": str(self.by),
            "weeks": self.weeks,
            "sets_a_week": self.sets_a_week,
            "worth_per_round": self.worth_per_round,
            "milestones": [each.as_dict() for each in self.milestones],
        }

    @property
    def words(self) -> str:
        """The goal in a sentence."""
        if not self.milestones:
            return f"By {self.by} there is time for no step: it takes weeks, not days."
        return (
            f"By {self.by}, in {plural(self.weeks, 'week')} of {self.sets_a_week:g} sets each, you"
            f" can be {plural(len(self.milestones), 'step')} on, worth about"
            f" {self.worth_per_round:.2f} strokes a round on your own putts if each step is made;"
            " a next step of the same brings less."
        )


def goal_by(
    decision: Decision, today: dt.date, by: dt.date, sets_a_week: float = SETS_A_WEEK
) -> DatedGoal:
    """Lay out the steps that fit until a day, the priorities in turn.

    A step takes as many sets as it takes to pass its mark twice; each further step of a drill has
    a harder mark. What a part of the stroke costs is taken to go as the square of its size, so that
    a step brings less the more steps of the same part, by whatever drill, came before it: of a
    habit that is halved a quarter each time. Towards another's stroke there is one step.

    Parameters
    ----------
    decision : Decision
    today, by : datetime.date
        ``by`` must lie after ``today``.
    sets_a_week : float

    Raises
    ------
    ValueError
        ``by`` is not after ``today``.
    """
    if by <= today:
        raise ValueError(f"{by} is not after {today}")
    weeks = (by - today).days / DAYS_A_WEEK
    spent, found = 0.0, []
    left: dict[str, float] = {}
    measured = decision.measured
    # However little practice brings: in the steps that there are.
    least = _LEAST_STEP * min(1.0 if measured is None else min(measured.multiples.values()), 1.0)
    for step in range(1, MOST_STEPS + 1):
        for each in decision.priorities:
            parts = decision.worths.get(each.drill.id, {})
            brings = sum(left.get(part, 1.0) * value for part, value in parts.items())
            brings = brings if parts else each.worth_per_round / step**2
            week = (spent + sets_of_a_step(each.mark)) / sets_a_week
            if week > weeks or brings < least:
                continue
            spent = week * sets_a_week
            day = today + dt.timedelta(days=ceil(week * DAYS_A_WEEK))
            found.append(Milestone(day, each.drill.id, each.drill.name, step, each.mark, brings))
            for part, value in parts.items():
                if value > 0:
                    left[part] = left.get(part, 1.0) * _left_by_a_step(decision, part)
    worth = sum(each.worth_per_round for each in found)
    return DatedGoal(by, int(weeks), sets_a_week, found, worth)

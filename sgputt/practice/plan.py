"""A practice session, or a week of them: blocks of drills that fill the minutes there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import polars as pl

from sgputt.practice.aim import GENERAL, Aim
from sgputt.practice.drills import Drill
from sgputt.practice.pass_mark import PassMark, part_of, pass_mark
from sgputt.practice.pool import GENERAL_LOSSES, Loss, Pool, losses_of
from sgputt.practice.priorities import best_drill

# Minutes. Two of rest after fifteen of work, as the catalogue's caution says; no block is longer
# than fifteen, and shorter than five is not worth setting up. Choices, no source.
BREAK_MINUTES = 2
WORK_MINUTES = 15
LEAST_MINUTES = 5
MOST_MINUTES = 240
UPKEEP_SHARE = 0.15
_UPKEEP_FROM = 30
MOST_SETS = 2
FEWEST_ROUNDS = 3
USUAL_SESSIONS = 4
MOST_SESSIONS = 14
# A set that would bring less, strokes a round, gives way to general practice.
_LEAST_WORTH = 0.004
_FEWEST_BALLS = 5
_UPKEEP_KINDS = ("one-ball", "random")


@dataclass(frozen=True)
class Block:
    """Some minutes of a session.

    Attributes
    ----------
    kind : str
        ``drill`` or ``break``.
    role : str
        ``loss``: trains what loses strokes; ``upkeep``: keeps what is good; ``general``: no loss
        is known for it; empty for a break.
    drill : Drill or None
        With the balls of this set, which may be fewer than the catalogue's.
    full_balls : int
        Balls of a whole set of that drill.
    set_number : int
        2 for a second set of the same drill.
    worth_per_round : float or None
        Strokes a round it should win back; None where no loss is behind it.
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


@dataclass(frozen=True)
class Session:
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
        Whether no losses of the player's own stand behind it.
    note : str
        Why it is general; else empty.
    whose : str
        Whose stroke the pass marks are worked out from.
    worth_per_round : float
        What all blocks should win back together, strokes a round of 18 holes; a loss that several
        of them train is counted once.
    """

    sessions: tuple[Session, ...]
    general: bool
    note: str
    whose: str
    worth_per_round: float


def make_plan(
    cells: pl.DataFrame | None,
    drills: Sequence[Drill],
    minutes: int,
    sessions: int = 1,
    aim: Aim = GENERAL,
    rounds: int = 0,
) -> Plan:
    """Share minutes among drills.

    The first session opens with the drill for the largest loss; then block by block comes the one
    that wins back most a minute, out of what those before have left; at most two sets of one drill
    a session. About 15 % of a session of 30 minutes of work or more goes to a
    game that keeps up the rest. The same cells give the same plan.

    Parameters
    ----------
    cells : polars.DataFrame or None
        From :func:`sgputt.inference.cells.cell_table`; None before the first round.
    drills : sequence of Drill
    minutes : int
        Of one session, 5 to 240.
    sessions : int
        Sessions, 1 to 14, that draw on the same losses.
    aim : Aim
        For the pass marks.
    rounds : int
        Rounds behind the cells; with fewer than three the plan is general.

    Raises
    ------
    ValueError
        Minutes or sessions out of range.
    """
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES or not 1 <= sessions <= MOST_SESSIONS:
        raise ValueError(f"{sessions} sessions of {minutes} minutes")
    losses = [] if cells is None or rounds < FEWEST_ROUNDS else losses_of(cells)
    planner = _Planner(losses, [each for each in drills if each.surface == "green"], aim)
    made = tuple(planner.session(number, minutes) for number in range(1, sessions + 1))
    worth = sum(block.worth_per_round or 0.0 for each in made for block in each.blocks)
    return Plan(made, not losses, _note(losses, rounds), aim.whose, worth)


def _note(losses: Sequence[Loss], rounds: int) -> str:
    if losses:
        return ""
    if rounds < FEWEST_ROUNDS:
        stored = "no round" if rounds == 0 else f"{rounds} round{'s' if rounds > 1 else ''}"
        return (
            f"A general plan, not worked out from your putting: {stored} stored so far, and it"
            f" takes {FEWEST_ROUNDS}."
        )
    return "A general plan: no loss shows from any distance."


class _Planner:
    """Fills sessions one after the other from one pool of losses."""

    def __init__(self, losses: Sequence[Loss], drills: Sequence[Drill], aim: Aim) -> None:
        self.pool, self.general = Pool(losses), Pool(GENERAL_LOSSES)
        self.drills, self.aim = drills, aim
        self.balls = {drill.id: drill.balls for drill in drills}
        largest = losses[:1]
        self.opening = [best_drill(drills, x.distance, x.slope, x.component) for x in largest]
        self.upkeep_sets: dict[str, int] = {}

    def session(self, number: int, minutes: int) -> Session:
        breaks = ceil(minutes / (WORK_MINUTES + BREAK_MINUTES)) - 1
        work = minutes - breaks * BREAK_MINUTES
        upkeep = round(UPKEEP_SHARE * minutes) if work >= _UPKEEP_FROM else 0
        blocks = self._filled(work - upkeep)
        spare = work - sum(block.minutes for block in blocks)
        if upkeep:
            games = ceil(spare / WORK_MINUTES)
            for at in range(games):
                share = spare // games + (at < spare % games)
                blocks.append(self._upkeep(share, blocks))
        elif spare:
            blocks[-1] = replace(blocks[-1], minutes=blocks[-1].minutes + spare)
        # Where blocks are too few for all the breaks, the last block is given their minutes.
        short = BREAK_MINUTES * max(0, breaks - len(blocks) + 1)
        blocks[-1] = replace(blocks[-1], minutes=blocks[-1].minutes + short)
        return Session(number, minutes, tuple(_with_breaks(blocks, breaks)))

    def _filled(self, minutes: int) -> list[Block]:
        blocks: list[Block] = []
        left = minutes
        while left >= LEAST_MINUTES:
            block = self._best(left, blocks)
            if block is None:
                break
            left -= block.minutes
            _place(blocks, block)
        return blocks

    def _best(self, left: int, blocks: Sequence[Block]) -> Block | None:
        """The set that wins back most a minute: of the player's losses, else in general."""
        sets = [part for drill in self.drills if (part := _part(drill, left)) is not None]
        sets = [part for part in sets if _sets_of(part.id, blocks) < MOST_SETS]
        if not sets:
            return None
        if self.opening:
            first = self.opening.pop()
            for part in sets:
                if first is not None and part.id == first.id:
                    return self._block(part, "loss")
        for pool, role in ((self.pool, "loss"), (self.general, "general")):
            worth = {part.id: sum(pool.claims(part).values()) for part in sets}
            best = max(sets, key=lambda part: worth[part.id] / part.minutes)
            if worth[best.id] >= _LEAST_WORTH or role == "general":
                break
        return self._block(best, role, _sets_of(best.id, blocks) + 1)

    def _block(self, drill: Drill, role: str, set_number: int = 1) -> Block:
        # Both pools are drawn on, so that general practice does not repeat what was trained.
        claims, general = self.pool.take(drill), self.general.take(drill)
        words = _why(list(claims)) if role == "loss" else _general(role, list(general))
        mark = pass_mark(drill, self.aim.target, self.aim.own)
        return Block(
            kind="drill",
            minutes=drill.minutes,
            role=role,
            drill=mark.drill,
            full_balls=self.balls[drill.id],
            set_number=set_number,
            mark=mark,
            why=words,
            worth_per_round=sum(claims.values()) if role == "loss" else None,
        )

    def _upkeep(self, minutes: int, blocks: Sequence[Block]) -> Block:
        """A game with one ball or changing putts, another every session: what was trained least."""
        fit = [part for drill in self.drills if (part := _part(drill, minutes)) is not None]
        games = [part for part in fit if part.kind in _UPKEEP_KINDS] or fit
        chosen = min(
            games,
            key=lambda part: (
                _sets_of(part.id, blocks),
                self.upkeep_sets.get(part.id, 0),
                part.kind not in _UPKEEP_KINDS[:1],
                -sum(self.general.claims(part).values()),
            ),
        )
        self.upkeep_sets[chosen.id] = self.upkeep_sets.get(chosen.id, 0) + 1
        block = self._block(chosen, "upkeep", _sets_of(chosen.id, blocks) + 1)
        return replace(block, minutes=minutes)


def _sets_of(drill: str, blocks: Sequence[Block]) -> int:
    return sum(block.drill is not None and block.drill.id == drill for block in blocks)


def _place(blocks: list[Block], block: Block) -> None:
    """A second set behind the first, so that it is set up once."""
    assert block.drill is not None
    at = [n for n, each in enumerate(blocks) if each.drill and each.drill.id == block.drill.id]
    blocks.insert(at[-1] + 1 if at else len(blocks), block)


def _part(drill: Drill, minutes: int) -> Drill | None:
    """A set that fits some minutes, 15 at most; None when too few balls would be left."""
    fits = min(drill.minutes, WORK_MINUTES, minutes)
    if fits == drill.minutes:
        return drill
    unit = len(drill.scoring.stations_ft) or 1
    balls = drill.balls * fits // drill.minutes
    if drill.scoring.type == "count" and balls >= unit:
        balls -= balls % unit
    least = _FEWEST_BALLS if drill.kind in _UPKEEP_KINDS else max(unit, _FEWEST_BALLS)
    return part_of(drill, balls, fits) if balls >= least else None


def _why(losses: Sequence[Loss]) -> str:
    """The loss a set takes most from, and what else it trains."""
    others = [f"{each.distance} {each.component}" for each in losses[1:3]]
    return losses[0].words + (f"; also {' and '.join(others)}" if others else "")


def _general(role: str, losses: Sequence[Loss]) -> str:
    what = ", ".join(f"{each.component} from {each.distance}" for each in losses[:2])
    head = "keeps the rest of the game up" if role == "upkeep" else "general practice"
    return f"{head}: {what}" if what else head


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

"""Pass marks: whom they are for, and the mark at which a drill counts as passed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sgputt.physics.roll import Array
from sgputt.practice.drills import Drill
from sgputt.practice.scoring import Count, Gate, Goal, Weighted
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke, one_step_better

# Strokes that stand for all that a fit leaves open, when a mark is worked out.
_STROKES_A_MARK = 12


def habit_word(part: str, size: float) -> str:
    """Word of a habit of this size: ``short`` for a negative ``long``."""
    if part.startswith("less"):
        return "too little break" if size > 0 else "too much break"
    if part == "left_deg":
        return "left" if size > 0 else "right"
    return "long" if size > 0 else "short"


@dataclass(frozen=True)
class KnownStroke:
    """What is known of a player's stroke.

    Attributes
    ----------
    best : PuttingStroke
        The most likely.
    strokes : tuple of PuttingStroke
        Strokes that may as well be theirs, as the fit leaves them; empty for nobody.
    weights : ndarray, shape (strokes,)
        Their chances; they add to 1.
    putts, rounds : int
        Behind the fit.
    gates_logged : bool
        Whether sets through gates tell the start line from the read.
    """

    best: PuttingStroke = TOUR_STROKE
    strokes: tuple[PuttingStroke, ...] = ()
    weights: Array | None = None
    putts: int = 0
    rounds: int = 0
    gates_logged: bool = False

    @property
    def somebody(self) -> bool:
        """Whether it is a player's stroke, not the tour's in place of one."""
        return bool(self.strokes)

    @property
    def chances(self) -> Array:
        """Weights of the strokes, equal unless said."""
        many = max(len(self.strokes), 1)
        return np.full(many, 1 / many) if self.weights is None else self.weights

    @property
    def target(self) -> PuttingStroke:
        """The stroke to aim at: one step better, or the tour's where there is no player."""
        return one_step_better(self.best) if self.somebody else self.best

    @property
    def whose(self) -> str:
        """Whose stroke marks are worked out from, in words."""
        if not self.somebody:
            return "a tour stroke"
        if self.putts < FEWEST_PUTTS:
            return f"your stroke, mostly guessed: only {self.putts} putts so far"
        return "your own stroke"

    def likely(self, most: int = _STROKES_A_MARK) -> Weighted:
        """The likeliest strokes with their chances, which add to 1."""
        if not self.somebody:
            return []
        chances = self.chances
        # Ties are broken by the order of the draws, which have none.
        order = np.argsort(-chances, kind="stable")[:most]
        total = float(chances[order].sum())
        return [(self.strokes[int(n)], float(chances[n]) / total) for n in order]


FEWEST_PUTTS = 60
NOBODY = KnownStroke()


@dataclass(frozen=True)
class PassMark:
    """What to reach in one set.

    Attributes
    ----------
    text : str
        The mark in words.
    goal : Goal
    drill : Drill
        Set up as the mark takes it.
    set_up : str
        Why and how that differs from the catalogue; empty when it does not. ``drill`` says it
        already: this is for whoever knows the written set-up.
    chance : float
        Chance that one ball succeeds, mean over the stations, for the stroke aimed at.
    passed_aim : float
        Share of sets that the stroke aimed at passes.
    passed_now, chance_now : float or None
        Share of sets passed, and chance of one ball, as the player putts now, over all that the fit
        leaves open; None without a player, and of a gate before one was logged, since a scorecard
        cannot part start line from read.
    harder : int
        Steps harder or easier than a first mark, as the log asked for.
    """

    text: str
    goal: Goal
    drill: Drill
    set_up: str
    chance: float
    passed_aim: float
    passed_now: float | None = None
    chance_now: float | None = None
    harder: int = 0

    def as_dict(self, whose: str) -> dict[str, object]:
        """For JSON; ``whose`` stroke it was worked out from."""
        return {
            "text": self.text,
            "successes": self.goal.successes,
            "balls": self.goal.balls,
            "in_a_row": self.goal.in_a_row,
            "chance_of_a_ball": self.chance,
            "chance_of_a_ball_now": self.chance_now,
            "sets_passed": self.passed_aim,
            "sets_passed_now": self.passed_now,
            "set_up": self.set_up,
            "from": whose,
        }

    def how_hard(self, whose: str) -> str:
        """Shares of sets passed, now and by the stroke aimed at, in words."""
        share = f"{100 * self.passed_aim:.0f} in 100"
        if self.passed_now is None and isinstance(self.drill.scoring, Gate) and whose == _OWN:
            return (
                "a scorecard does not part start line from read: log a first set and the gate is"
                " set to you."
            )
        if self.passed_now is None:
            return f"a tour stroke passes about {share} sets (by a model)."
        now = f"as you putt now you pass about {100 * self.passed_now:.0f} sets in 100"
        return f"{now}; the stroke to aim at passes {share} (by a model, from {whose})."


_OWN = "your own stroke"


def pass_mark(drill: Drill, known: KnownStroke = NOBODY, harder: int = 0) -> PassMark:
    """Mark of a drill for a player.

    The drill is first set up to fit (see :class:`sgputt.practice.scoring.Scoring`); then a count
    asks for the fewest successes that the player as now reaches in 20 to 40 % of sets, a row for
    the balls within which they are through in 40 %. By the stroke model: not measured figures.

    Parameters
    ----------
    drill : Drill
    known : KnownStroke
        Without a player the marks are a tour stroke's.
    harder : int
        Steps harder (positive) or easier (negative) than that, as the log asks for.
    """
    aim = known.target
    scoring, words = drill.scoring.fitted(known.best, aim)
    # What a player's gate lets through is not known before one was logged: then as it is written.
    told = known.likely() if not isinstance(scoring, Gate) or known.gates_logged else []
    goal = _shifted(scoring.goal(told, aim), harder)
    return PassMark(
        text=scoring.goal_words(goal, drill.set_up_as(scoring, words).success),
        goal=goal,
        drill=drill.set_up_as(scoring, words),
        set_up=words,
        chance=float(scoring.chances(aim).mean()),
        passed_aim=scoring.sets_passed(aim, goal),
        passed_now=sum(w * scoring.sets_passed(s, goal) for s, w in told) if told else None,
        chance_now=sum(w * float(scoring.chances(s).mean()) for s, w in told) if told else None,
        harder=harder,
    )


def mark_of_set(drill: Drill, known: KnownStroke, harder: int, balls: int | None) -> PassMark:
    """Mark of a set as it was logged: of a shorter one that has a mark, its own.

    Parameters
    ----------
    drill, known, harder
        As for :func:`pass_mark`.
    balls : int or None
        Balls that were putted.
    """
    counted = balls if isinstance(drill.scoring, Count) else None
    if counted is not None and counted < drill.balls and has_mark(counted, drill.balls):
        part = drill.part(counted, drill.minutes)
        # Balls that do not go round all the tees were putted all the same.
        drill = replace(part, scoring=replace(part.scoring, balls=counted), balls=counted)
    return pass_mark(drill, known, harder)


def has_mark(balls: int, whole: int) -> bool:
    """Whether a set of so many balls has a pass mark: a whole one, or half of its balls at least.

    A few balls say little of a drill. A choice, no source.
    """
    return 2 * balls >= whole


# A step of difficulty: this share of the balls more or less.
_HARDER = 0.08


def _shifted(goal: Goal, harder: int) -> Goal:
    if harder == 0:
        return goal
    if goal.in_a_row is not None:
        balls = round(goal.balls * (1 - 3 * _HARDER * harder))
        return replace(goal, balls=max(balls, goal.in_a_row))
    wanted = (goal.successes or 0) + harder * max(1, round(_HARDER * goal.balls))
    return replace(goal, successes=int(np.clip(wanted, 1, goal.balls - 1)))

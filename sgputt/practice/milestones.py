"""A goal with a date: which marks to have passed by when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from math import ceil

from sgputt.practice.decision import Decision, sets_of_a_step
from sgputt.practice.marks import PassMark

SETS_A_WEEK = 4.0
DAYS_A_WEEK = 7
# Steps of the same thing that a goal may count on, each worth as much again: beyond that the
# yardstick says nothing. A choice.
MOST_STEPS = 3


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
            f"By {self.by}, in {self.weeks} weeks of {self.sets_a_week:g} sets each, you can be"
            f" {len(self.milestones)} steps on, worth about {self.worth_per_round:.2f} strokes a"
            " round on your own putts if each step is made."
        )


def goal_by(
    decision: Decision, today: dt.date, by: dt.date, sets_a_week: float = SETS_A_WEEK
) -> DatedGoal:
    """Lay out the steps that fit until a day, the priorities in turn.

    A step takes as many sets as it takes to pass its mark twice; each further step of a drill has
    a harder mark and is taken to be worth as much as the first.

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
    for step in range(1, MOST_STEPS + 1):
        for each in decision.priorities:
            spent += sets_of_a_step(each.mark)
            week = spent / sets_a_week
            if week > weeks:
                break
            day = today + dt.timedelta(days=ceil(week * DAYS_A_WEEK))
            found.append(
                Milestone(
                    day, each.drill.id, each.drill.name, step, each.mark, each.worth_per_round
                )
            )
    worth = sum(each.worth_per_round for each in found)
    return DatedGoal(by, int(weeks), sets_a_week, found, worth)

"""The fewest habits that explain what was found in a player's putts.

Habits are hard to tell from one another: most of what a pull does, too little break on one side and
too much on the other does as well. Fitted all at once, each is uncertain and a single fault is
spread over several. So all sets of few habits are held against one another: the likelihood about
its peak is taken for normal, a habit may be large where it is one of the set and is next to none
where it is not, and each set counts by how likely it makes the putts (a spike and a slab: Mitchell,
T. J. & Beauchamp, J. J. (1988) J. Am. Stat. Assoc. 83, 1023-1032, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np

from sgputt.physics.roll import Array

Place = tuple[str, str]

SIDES = ("less_left_to_right", "less_right_to_left")
# Each habit by kind and place, and the values that it moves.
LINES: dict[Place, dict[str, float]] = {
    ("break", "all"): dict.fromkeys(SIDES, 1.0),
    ("break", "left to right"): {SIDES[0]: 1.0},
    ("break", "right to left"): {SIDES[1]: 1.0},
    ("degrees", "all"): {"left_deg": 1.0},
    ("roll", "all"): {"long": 1.0},
    ("roll", "uphill"): {"long_uphill": 1.0},
    ("roll", "downhill"): {"long_downhill": 1.0},
    ("roll", "fast greens"): {"long_fast": 1.0},
}
# How large a habit is where there is one, and what may be there where there is none, since greens
# and words are never quite as the model has them: shares of the break, degrees, shares of the roll.
LARGE = {"break": 0.3, "degrees": 0.6, "roll": 0.08}
NEXT_TO_NONE = {"break": 0.04, "degrees": 0.06, "roll": 0.01}
# What a set counts before any putt: so much less for each of its habits.
_ODDS = 0.5
_MOST_OF_A_KIND = 2


@dataclass(frozen=True)
class Explained:
    """What all sets of habits together leave possible.

    Attributes
    ----------
    values : ndarray, shape (n,)
        Mean of what was fitted.
    covariance : ndarray, shape (n, n)
    chances : dict of float
        By habit: that it is one of the set.
    best : frozenset
        Habits of the likeliest set.
    best_values, best_covariance : ndarray
        As ``values`` and ``covariance``, were that set the true one.
    """

    values: Array
    covariance: Array
    chances: dict[Place, float]
    best: frozenset[Place]
    best_values: Array
    best_covariance: Array


@cache
def sets_of_habits() -> tuple[frozenset[Place], ...]:
    """Sets that are held against one another: at most two of a kind."""
    kinds = list(dict.fromkeys(kind for kind, _ in LINES))
    found = [frozenset[Place]()]
    for kind in kinds:
        these = [place for place in LINES if place[0] == kind]
        some = [
            frozenset(each) for n in range(_MOST_OF_A_KIND + 1) for each in combinations(these, n)
        ]
        # On one side as well as on both is to say that the sides differ: then each is named.
        if kind == "break":
            some = [each for each in some if len(each) < 2 or (kind, "all") not in each]
        found = [one | other for one in found for other in some]
    return tuple(found)


def explain(
    values: Array, information: Array, centre: Array, precision: Array, names: tuple[str, ...]
) -> Explained:
    """Hold all sets of habits against one another.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Where the likelihood is greatest.
    information : ndarray, shape (n, n)
        Its curvature there.
    centre, precision : ndarray
        What is taken for likely of the values that are no habits; of habits not used.
    names : tuple of str
        Of the values; those past its end are no habits.
    """
    at = {name: place for place, name in enumerate(names)}
    habits = [at[name] for name in dict.fromkeys(n for line in LINES.values() for n in line)]
    rest = np.setdiff1d(np.arange(len(values)), habits)
    none = np.zeros((len(values), len(values)))
    none[np.ix_(rest, rest)] = np.linalg.inv(precision[np.ix_(rest, rest)])
    lines = {}
    for place, moved in LINES.items():
        line = np.zeros(len(values))
        for name, by in moved.items():
            line[at[name]] = by
            none[at[name], at[name]] = NEXT_TO_NONE[place[0]] ** 2
        lines[place] = LARGE[place[0]] ** 2 * np.outer(line, line)
    sets = sets_of_habits()
    before = np.stack([none + sum((lines[each] for each in some), none * 0) for some in sets])
    # The normal peak of the likelihood times what is likely before, in closed form.
    off = values - centre
    pull = information @ off
    inverse = np.linalg.inv(before)
    after = np.linalg.inv(inverse + information)
    moved_by = after @ pull
    _, larger = np.linalg.slogdet(np.eye(len(values)) + before @ information)
    log = (moved_by @ pull - larger) / 2 + np.log(_ODDS) * np.array([len(each) for each in sets])
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = weight @ moved_by
    apart = moved_by - mean
    covariance = np.einsum("m,mij->ij", weight, after) + (apart * weight[:, None]).T @ apart
    chances = {
        place: float(sum(w for w, some in zip(weight, sets, strict=True) if place in some))
        for place in LINES
    }
    top = int(weight.argmax())
    return Explained(
        centre + mean, covariance, chances, sets[top], centre + moved_by[top], after[top]
    )

"""What becomes of putts, whoever strikes them: tables over start angle and roll.

Whether a ball struck at some angle with some roll drops, and where it stops if not, does not depend
on the player. For each place a ball may be putted from, the rolls are cut into cells; each cell has
the window of start angles that drop (:func:`sgputt.physics.hole.window`) and, to both sides of the
window, cells of misses with the place where a ball of that cell stops. A player's stroke then is a
distribution over these cells: differences of normal integrals.

The tables of the usual greens are kept in ``data/reference/outcomes.npz``, built by
``python -m sgputt.stroke.outcomes`` (a test rebuilds a part of them).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache, cached_property
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from sgputt.physics.hole import HOLE_RADIUS_FT, window
from sgputt.physics.read import read_for
from sgputt.physics.roll import Array, slope_ratio, stop
from sgputt.reference import CHECKOUT, reference_path

# Nodes between which a putt is interpolated: lengths in feet, grades of the fall line, directions
# from it, green speeds in feet.
LENGTHS_FT: Array = np.array(
    [0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 10, 12, 15, 18, 22, 27, 33, 40, 50, 65, 85, 105]
)
GRADES: Array = np.array([0.005, 0.012, 0.02, 0.03, 0.043])
DIRECTIONS: Array = np.radians(np.arange(0.0, 181.0, 30.0))
ALL_DIRECTIONS: Array = np.concatenate([DIRECTIONS, -DIRECTIONS[-2:0:-1]])
STIMPS_FT: Array = np.array([8.0, 10.0, 12.0, 14.0])
# How far past the hole a putt may be meant to stop; between these the read is interpolated.
PAST_FT: Array = np.array([0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.5])

PAST_CELLS, SHORT_CELLS = 20, 12
_FIRST_CELL_FT, _FIRST_CELL_SHARE = 0.10, 0.006
_PAST_GROWTH, _SHORT_GROWTH = 1.14, 1.28
_LONGEST_SHORT = 0.95
# Inner edges of the cells of misses beside a window, in units of a usual spread of direction there.
_ASIDE: Array = np.array([0.0, 0.25, 0.6, 1.1, 1.9])
_ASIDE_MIDDLE: Array = np.array([0.12, 0.42, 0.83, 1.42, 2.4])
_USUAL_DIRECTION = float(np.radians(1.3))
_USUAL_READ = 0.35
_USUAL_PACE = 0.11
_SURE = 1e-9
_WITHIN = np.array([-0.6, 0.0, 0.6])
_WITHIN_WEIGHTS = np.array([0.3, 0.4, 0.3])
_FILE = "outcomes.npz"
_WORKED_OUT = ("aim", "roll_ft", "low", "high")


@dataclass(frozen=True)
class Outcomes:
    """Tables of some places to putt from, one row each; n places, u cells of roll.

    Attributes
    ----------
    length_ft, direction, grade, stimp_ft : ndarray, shape (n,)
        As in :mod:`sgputt.physics`; a direction below 0 breaks right to left.
    aim, roll_ft : ndarray, shape (n, 8)
        The perfect read for each of :data:`PAST_FT`: radians left of the line ball to hole, feet.
    low, high : ndarray, shape (n, u)
        Window of start angles in each cell of roll, radians.
    """

    length_ft: Array
    direction: Array
    grade: Array
    stimp_ft: Array
    aim: Array
    roll_ft: Array
    low: Array
    high: Array

    @cached_property
    def k(self) -> Array:
        """Slope ratio, shape (n,)."""
        return slope_ratio(self.grade, self.stimp_ft)

    @cached_property
    def edges_ft(self) -> Array:
        """Edges of the cells of roll, shape (n, u + 1); the outer ones are open."""
        edges = _roll_edges(self.length_ft, self.roll_ft[:, 0])
        edges[:, 0], edges[:, -1] = -np.inf, np.inf
        return edges

    @cached_property
    def middle_ft(self) -> Array:
        """Roll that stands for each cell, shape (n, u).

        The mean within it for a usual pace, since cells are wide where balls are few.
        """
        edges = _roll_edges(self.length_ft, self.roll_ft[:, 0])
        meant = self.roll_ft[:, 3:4]
        z = (edges - meant) / (_USUAL_PACE * meant)
        share = np.diff(ndtr(z), axis=1)
        density = np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
        known = share > _SURE
        mean = -np.diff(density, axis=1) / np.where(known, share, 1.0)
        inner = np.where(z[:, 1:] < 0, z[:, 1:], z[:, :-1])
        beyond = inner + 1 / np.where(inner == 0, 1.0, inner)
        found = np.clip(np.where(known, mean, beyond), z[:, :-1], z[:, 1:])
        return np.asarray(meant + found * _USUAL_PACE * meant, dtype=np.float64)

    @cached_property
    def aside(self) -> Array:
        """Inner edges of the cells of misses, from the window outward, radians, shape (n, a)."""
        return np.asarray(self._usual[:, None] * _ASIDE, dtype=np.float64)

    @cached_property
    def _usual(self) -> Array:
        return np.hypot(_USUAL_DIRECTION, _USUAL_READ * self.aim[:, 3])

    @cached_property
    def miss_angle(self) -> Array:
        """Start angle in the middle of each cell of misses, radians, shape (n, u, 2, a)."""
        out = self._usual[:, None] * _ASIDE_MIDDLE
        found = np.empty((*self.high.shape, 2, out.shape[1]))
        for cell in range(out.shape[1]):
            found[:, :, 0, cell] = self.high + out[:, [cell]]
            found[:, :, 1, cell] = self.low - out[:, [cell]]
        return found

    @cached_property
    def leave_ft(self) -> Array:
        """How far from the hole misses stop, shape (n, u, 2, a)."""
        return np.asarray(np.hypot(*self.stops), dtype=np.float64)

    @cached_property
    def stops(self) -> tuple[Array, Array]:
        """Where misses stop, feet past and left of the hole, each of shape (n, u, 2, a).

        The third axis is the side on which the ball passed: 0 left, 1 right.
        """
        off = self.miss_angle
        toward = self.direction[:, None, None, None]
        down, across = stop(toward + off, self.k[:, None, None, None])
        roll = self.middle_ft[:, :, None, None]
        along = roll * (down * np.cos(toward) + across * np.sin(toward))
        beside = roll * (across * np.cos(toward) - down * np.sin(toward))
        return along - self.length_ft[:, None, None, None], beside

    def read(self, past_ft: Array) -> tuple[Array, Array]:
        """Perfect read for a meant pace a place: aim in radians and roll in feet, shapes (n,)."""
        past = np.clip(past_ft, PAST_FT[0], PAST_FT[-1])
        right = np.clip(np.searchsorted(PAST_FT, past), 1, len(PAST_FT) - 1)
        share = (past - PAST_FT[right - 1]) / (PAST_FT[right] - PAST_FT[right - 1])
        rows = np.arange(len(right))
        aim = (1 - share) * self.aim[rows, right - 1] + share * self.aim[rows, right]
        roll = (1 - share) * self.roll_ft[rows, right - 1] + share * self.roll_ft[rows, right]
        return np.asarray(aim), np.asarray(roll)

    def take(self, rows: NDArray[np.intp] | NDArray[np.bool_] | slice) -> Outcomes:
        """Some of the places."""
        return Outcomes(*(getattr(self, each.name)[rows] for each in fields(self)))


@dataclass(frozen=True)
class Delivered:
    """What a stroke sends off from each place: normal and independent; shapes (n,).

    Attributes
    ----------
    angle, angle_spread : ndarray
        Start angle, radians left of the line ball to hole, and its standard deviation.
    roll_ft, roll_spread_ft : ndarray
        Roll on the level, feet, and its standard deviation.
    """

    angle: Array
    angle_spread: Array
    roll_ft: Array
    roll_spread_ft: Array


class StrokeModel(Protocol):
    """What a stroke model must offer; all else (make share, stops, samples, putts) follows."""

    def past_ft(self, length_ft: Array) -> Array:
        """Meant pace by length: how far past the hole, feet, the ball is meant to stop."""
        ...

    def __hash__(self) -> int:
        """Of what a stroke is, which does not change: what is worked out from it is kept."""

    def send(self, places: Outcomes, past_ft: Array | None = None) -> Delivered:
        """What is sent off from each place, for a meant pace of shape (n,) or the usual one."""
        ...

    def start_line(self) -> tuple[float, float]:
        """Start line about the line aimed along: mean degrees to the left, standard deviation."""
        ...


@dataclass(frozen=True)
class Shares:
    """How putts end, from n places, by cell of roll and of what lies beside its window.

    Attributes
    ----------
    rolls : ndarray, shape (n, u)
        Chance of each cell of roll.
    good : ndarray, shape (n, u)
        Chance that a ball of that roll drops.
    beside : ndarray, shape (n, u, 2, a)
        Chance that it is in each cell of misses.
    """

    rolls: Array
    good: Array
    beside: Array

    @property
    def made(self) -> Array:
        """Chance to drop, shape (n,)."""
        return np.asarray((self.rolls * self.good).sum(axis=1), dtype=np.float64)

    @property
    def missed(self) -> Array:
        """Chance of each cell of misses, shape (n, u, 2, a); with ``made`` they add to 1."""
        return self.beside * self.rolls[:, :, None, None]

    def over_misses(self, there: Array) -> Array:
        """Sum over the misses of each place of something at their cells, shape (n,)."""
        return np.asarray((self.rolls * np.einsum("nusa,nusa->nu", self.beside, there)).sum(axis=1))


def shares(places: Outcomes, sent: Delivered) -> Shares:
    """Chances of every outcome."""
    return Shares(roll_shares(places, sent), *side_shares(places, sent.angle, sent.angle_spread))


def roll_shares(places: Outcomes, sent: Delivered) -> Array:
    """Chance of each cell of roll, shape (n, u)."""
    edges = (places.edges_ft - sent.roll_ft[:, None]) / sent.roll_spread_ft[:, None]
    return np.diff(ndtr(edges), axis=1)


def side_shares(places: Outcomes, angle: Array, spread: Array) -> tuple[Array, Array]:
    """Chances of the window and of the cells beside it: ``good, beside`` of :class:`Shares`."""
    chance = beside_window(places, angle, spread)
    ndtr(chance, out=chance)
    good = 1 - chance[:, :, 0, 0] - chance[:, :, 1, 0]
    return good, between_edges(chance)


def between_edges(up_to: Array) -> Array:
    """From what is said of all beyond each edge to what is said of each cell, where it lies."""
    # By cells, of which there are few: none is then copied.
    for cell in range(up_to.shape[-1] - 1):
        up_to[..., cell] -= up_to[..., cell + 1]
    return up_to


def beside_window(places: Outcomes, angle: Array, spread: Array) -> Array:
    """Inner edges of the cells beside the window in standard deviations of the angle sent.

    Shape (n, u, 2, a), to the left and to the right; the last cells have no other edge. One array,
    filled where it lies and free to be worked on there: making large ones takes longer than the
    sums.
    """
    scale, sent = 1 / spread[:, None], angle[:, None]
    aside = scale * places.aside
    z = np.empty((*places.high.shape, 2, aside.shape[1]))
    # To the left, everything is the right seen in a mirror.
    for side, beyond in enumerate((scale * (sent - places.high), scale * (places.low - sent))):
        for cell in range(aside.shape[1]):
            np.subtract(beyond, aside[:, [cell]], out=z[:, :, side, cell])
    return z


def make_shares(places: Outcomes, sent: Delivered) -> Array:
    """Chance to hole from each place, shape (n,): the cheap part of :func:`shares`."""
    rolls = roll_shares(places, sent)
    spread = sent.angle_spread[:, None]
    good = ndtr((places.high - sent.angle[:, None]) / spread)
    good -= ndtr((places.low - sent.angle[:, None]) / spread)
    return np.asarray((rolls * good).sum(axis=1), dtype=np.float64)


def outcomes_from(
    length_ft: ArrayLike, direction: ArrayLike, grade: ArrayLike, stimp_ft: ArrayLike
) -> Outcomes:
    """Work out the tables of some places; arguments broadcast to shape (n,).

    A direction below 0 (a putt that breaks right to left) is worked out as its mirror image.
    """
    length, toward, rise, speed = (
        np.atleast_1d(each)
        for each in np.broadcast_arrays(
            *(
                np.asarray(each, dtype=np.float64)
                for each in (length_ft, direction, grade, stimp_ft)
            )
        )
    )
    k = slope_ratio(rise, speed)
    turned = np.abs(toward)
    read = read_for(length[:, None], turned[:, None], k[:, None], PAST_FT)
    # Cells that end before the rim have no window: seen from there a ball stops left or right of
    # the way that dies in the hole.
    short = np.repeat(read.aim[:, :1], SHORT_CELLS, axis=1)
    edges = _roll_edges(length, read.roll_ft[:, 0])[:, SHORT_CELLS:]
    middle, half = (edges[:, 1:] + edges[:, :-1]) / 2, (edges[:, 1:] - edges[:, :-1]) / 2
    rolls = middle[:, :, None] + half[:, :, None] * _WITHIN
    # Harder balls break less: about as the inverse of the roll, which is where to look from.
    guess = read.aim[:, 0][:, None, None] * np.minimum(read.roll_ft[:, 0][:, None, None] / rolls, 2)
    wide = [each[:, None, None] for each in (length, turned, k, speed)]
    found = window(wide[0], wide[1], rolls, wide[2], wide[3], guess)
    half_place = Outcomes(
        length,
        turned,
        rise,
        speed,
        read.aim,
        read.roll_ft,
        np.hstack([short, found.low @ _WITHIN_WEIGHTS]),
        np.hstack([short, found.high @ _WITHIN_WEIGHTS]),
    )
    return mirrored(half_place, toward < 0)


def mirrored(places: Outcomes, which: NDArray[np.bool_]) -> Outcomes:
    """The same places with some of them seen in a mirror along the line to the hole."""
    turn = np.where(which, -1.0, 1.0)
    many = which[:, None]
    return Outcomes(
        places.length_ft,
        places.direction * turn,
        places.grade,
        places.stimp_ft,
        places.aim * turn[:, None],
        places.roll_ft,
        np.where(many, -places.high, places.low),
        np.where(many, -places.low, places.high),
    )


def _roll_edges(length_ft: Array, dying_ft: Array) -> Array:
    """Edges of roll: small cells about the one that just reaches the rim, larger ones outward."""
    rim = dying_ft * (1 - np.minimum(HOLE_RADIUS_FT / length_ft, 0.9))
    first = _FIRST_CELL_FT + _FIRST_CELL_SHARE * length_ft
    past = np.concatenate([[0.0], np.cumsum(_PAST_GROWTH ** np.arange(PAST_CELLS))])
    short = np.concatenate([[0.0], np.cumsum(_SHORT_GROWTH ** np.arange(SHORT_CELLS))])
    most = (_LONGEST_SHORT * rim)[:, None]
    back = first[:, None] * short
    back = np.where(back[:, -1:] > most, short / short[-1] * most, back)
    beyond = rim[:, None] + first[:, None] * past
    return np.concatenate([(rim[:, None] - back)[:, :0:-1], beyond], axis=1)


def _nodes() -> tuple[Array, ...]:
    """Length, direction, grade and speed at every node: by speed, length, grade, direction."""
    nodes = np.meshgrid(STIMPS_FT, LENGTHS_FT, GRADES, DIRECTIONS, indexing="ij")
    stimp, length, grade, direction = (each.ravel() for each in nodes)
    return length, direction, grade, stimp


@cache
def _kept() -> Outcomes:
    with np.load(reference_path(_FILE), allow_pickle=False) as file:
        return Outcomes(*_nodes(), *(np.asarray(file[n], dtype=np.float64) for n in _WORKED_OUT))


@cache
def kept_places(stimp_ft: float) -> Outcomes:
    """The kept tables at a green speed of :data:`STIMPS_FT`, both sides of the fall line.

    Rows run over :data:`LENGTHS_FT`, :data:`GRADES` and the twelve directions of
    :data:`ALL_DIRECTIONS`, the last fastest.
    """
    half = _kept().take(_kept().stimp_ft == stimp_ft)
    shape = (len(LENGTHS_FT), len(GRADES), len(DIRECTIONS))
    rows = np.arange(len(half.length_ft)).reshape(shape)
    other = rows[:, :, -2:0:-1]
    taken = np.concatenate([rows, other], axis=2).ravel()
    right = np.zeros((*shape[:2], len(ALL_DIRECTIONS)), dtype=bool)
    right[:, :, len(DIRECTIONS) :] = True
    return mirrored(half.take(taken), right.ravel())


def build(path: Path) -> None:
    """Work out the kept tables and write them; about a minute."""
    places = outcomes_from(*_nodes())
    np.savez_compressed(path, **{n: getattr(places, n).astype(np.float32) for n in _WORKED_OUT})


if __name__ == "__main__":
    build(CHECKOUT / _FILE)

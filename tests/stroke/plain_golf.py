"""An independent simulator of putting, stepped through time; shares no code with the package.

Balls roll on a plane by small steps, the hole takes them as Holmes and Penner have it, and invented
golfers aim by trial on the same steps. Cards come out as CSV of words. What its golfers do, how
greens are met and how the words are chosen differ on purpose from what the fit believes: grades are
gamma of shape 2 about 2 %, slope and break are called by the grade along and across the putt, sides
by where a ball stopped, lengths are whole feet.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FOOT_M = 0.3048
HOLE_M = 0.108 / 2
STEP_S = 0.02
HOLES = 18
# Steeper for their speed than this (pull over deceleration), aiming by trial comes to no end.
MOST_PULL = 0.45


@dataclass(frozen=True)
class PlainGolfer:
    """Errors in degrees, shares of the break and of the length; habits by where they show.

    ``low`` is the share of the break left out, ``left`` degrees to the left, ``long`` a share of
    the roll; the maps are from a place (``all``, ``left to right``, ``right to left``, ``uphill``,
    ``downhill``, ``fast``) to its size.
    """

    aim_deg: float = 1.4
    read: float = 0.3
    pace: float = 0.10
    low: dict[str, float] = field(default_factory=dict)
    left: float = 0.0
    long: dict[str, float] = field(default_factory=dict)


def roll(
    speed: Floats, heading: Floats, toward: Floats, length: Floats, pull: Floats, slow: Floats
) -> tuple[Floats, Floats, NDArray[np.bool_], Floats, Floats]:
    """Stop (past, left), holed, offset at the nearest passage and the speed there, in metres.

    The frame of a putt: the hole is the origin, x runs on beyond it, y to its left; the fall line
    lies at ``-toward`` from x.
    """
    x, y = -length.copy(), np.zeros_like(length)
    vx, vy = speed * np.cos(heading), speed * np.sin(heading)
    fx, fy = pull * np.cos(-toward), pull * np.sin(-toward)
    near = np.full_like(length, np.inf)
    offset, fast = np.zeros_like(length), np.zeros_like(length)
    alive = np.ones(len(length), dtype=bool)
    for _ in range(2000):
        v = np.hypot(vx, vy)
        alive &= v > slow * STEP_S
        if not alive.any():
            break
        scale = np.where(alive, 1 / np.maximum(v, 1e-9), 0.0)
        ax, ay = -slow * vx * scale + fx, -slow * vy * scale + fy
        nx, ny = vx + ax * STEP_S, vy + ay * STEP_S
        mx, my = (vx + nx) / 2 * STEP_S, (vy + ny) / 2 * STEP_S
        # Nearest point of this step to the hole.
        along = np.clip(-(x * mx + y * my) / np.maximum(mx**2 + my**2, 1e-12), 0, 1)
        gap = np.hypot(x + along * mx, y + along * my)
        nearer = alive & (gap < near)
        near = np.where(nearer, gap, near)
        side = np.sign(mx * (y + along * my) - my * (x + along * mx))
        offset = np.where(nearer, side * gap, offset)
        fast = np.where(nearer, v, fast)
        x, y = np.where(alive, x + mx, x), np.where(alive, y + my, y)
        vx, vy = np.where(alive, nx, 0.0), np.where(alive, ny, 0.0)
    taken = (near < HOLE_M) & (fast < 1.63 * (1 - np.minimum(near / HOLE_M, 1) ** 2))
    return x, y, taken | (np.hypot(x, y) < HOLE_M), offset, fast


def aimed(
    toward: Floats, length: Floats, pull: Floats, slow: Floats, past: Floats
) -> tuple[Floats, Floats]:
    """Heading and speed of a perfect putt, by trial."""
    along = slow - pull * np.cos(toward)
    heading = 0.5 * pull * np.sin(toward) / slow
    speed = np.sqrt(2 * along * (length + past))
    arrive = np.sqrt(2 * along * past)
    for _ in range(14):
        _, _, _, offset, fast = roll(speed, heading, toward, length, pull, slow)
        heading = heading - np.clip(offset / length, -0.2, 0.2)
        speed = np.sqrt(np.maximum(speed**2 + 0.8 * (arrive**2 - fast**2), 0.05))
    return heading, speed


def played(golfer: PlainGolfer, rounds: int, seed: int, mean_grade: float = 0.02) -> str:
    """A season as CSV text, a row a putt."""
    rng = np.random.default_rng(seed)
    count = rounds * HOLES
    index = np.arange(count)
    length = np.clip(np.exp(rng.normal(np.log(14), 0.8, count)), 1.5, 80) * FOOT_M
    grade = rng.gamma(2.0, mean_grade / 2, count)
    toward = rng.uniform(-np.pi, np.pi, count)
    stimp = np.repeat(rng.choice([9.0, 10.0, 11.0, 12.0], rounds), HOLES)
    steepest = MOST_PULL * 1.83**2 / (2 * stimp * FOOT_M) / (5 / 7 * 9.81)
    grade = np.minimum(grade, steepest)
    lines = []
    for number in range(1, 6):
        slow, pull = 1.83**2 / (2 * stimp * FOOT_M), 5 / 7 * 9.81 * grade
        past = (0.3 + 0.25 * np.exp(-length / 3)) * np.ones_like(length)
        heading, speed = aimed(toward, length, pull, slow, past)
        down, across = grade * np.cos(toward), grade * np.sin(toward)
        slope = np.where(down < -0.007, "uphill", np.where(down > 0.007, "downhill", "level"))
        bend = np.where(
            across > 0.004, "left to right", np.where(across < -0.004, "right to left", "straight")
        )
        low = np.full(len(length), golfer.low.get("all", 0.0))
        long = np.full(len(length), golfer.long.get("all", 0.0))
        for where in ("left to right", "right to left"):
            low += np.where(
                np.sign(across) == (1 if where == "left to right" else -1),
                golfer.low.get(where, 0.0),
                0.0,
            )
        for where in ("uphill", "downhill"):
            long += np.where(slope == where, golfer.long.get(where, 0.0), 0.0)
        long += np.where(stimp >= 11, golfer.long.get("fast", 0.0), 0.0)
        angle = heading * (1 - low + golfer.read * rng.normal(size=len(length)))
        angle = angle + np.radians(golfer.left + golfer.aim_deg * rng.normal(size=len(length)))
        ratio = slow / (slow - pull * np.cos(toward))
        spread = golfer.pace * np.sqrt(0.34 + 0.66 * ratio**2)
        energy = np.maximum(1 + long + spread * rng.normal(size=len(length)), 0.02)
        x, y, holed, _, _ = roll(speed * np.sqrt(energy), angle, toward, length, pull, slow)
        holed = holed | (number == 5)
        feet = np.maximum(np.round(length / FOOT_M), 1)
        for at in range(len(length)):
            day, hole = divmod(int(index[at]), HOLES)
            pace = "" if holed[at] else "short" if x[at] < 0 else "past"
            side = "" if holed[at] else "left" if y[at] > 0 else "right"
            lines.append(
                f"2025-{1 + day // 28:02d}-{1 + day % 28:02d},Ada Plain,Flat Rock,{hole + 1},"
                f"{number},{feet[at]:.0f} ft,{'holed' if holed[at] else 'missed'},{slope[at]},"
                f"{bend[at]},{pace},{side},{stimp[at]:.0f}"
            )
        left = ~holed
        away = np.arctan2(-y[left], -x[left])
        length, grade, stimp, index = (
            np.maximum(np.hypot(x[left], y[left]), 0.1),
            grade[left],
            stimp[left],
            index[left],
        )
        toward = np.arctan2(np.sin(toward[left] + away), np.cos(toward[left] + away))
        if not len(length):
            break
    head = "date,player,course,hole,putt,distance,result,slope,break,miss pace,miss side,stimp"
    return "\n".join([head, *lines]) + "\n"


FAULTS: dict[str, tuple[PlainGolfer, tuple[str, str], float]] = {
    "low everywhere": (PlainGolfer(low={"all": 0.3}), ("too little break", "all"), 0.3),
    "low, much": (PlainGolfer(low={"all": 0.5}), ("too little break", "all"), 0.5),
    "high everywhere": (PlainGolfer(low={"all": -0.35}), ("too much break", "all"), 0.35),
    "low left to right": (
        PlainGolfer(low={"left to right": 0.45}),
        ("too little break", "left to right"),
        0.45,
    ),
    "low right to left": (
        PlainGolfer(low={"right to left": 0.45}),
        ("too little break", "right to left"),
        0.45,
    ),
    "high right to left": (
        PlainGolfer(low={"right to left": -0.45}),
        ("too much break", "right to left"),
        0.45,
    ),
    "left": (PlainGolfer(left=0.8), ("left", "all"), 0.8),
    "right": (PlainGolfer(left=-0.8), ("right", "all"), 0.8),
    "right, much": (PlainGolfer(left=-1.2), ("right", "all"), 1.2),
    "short everywhere": (PlainGolfer(long={"all": -0.1}), ("short", "all"), 0.1),
    "long everywhere": (PlainGolfer(long={"all": 0.1}), ("long", "all"), 0.1),
    "short uphill": (PlainGolfer(long={"uphill": -0.13}), ("short", "uphill"), 0.13),
    "long downhill": (PlainGolfer(long={"downhill": 0.13}), ("long", "downhill"), 0.13),
    "short downhill": (PlainGolfer(long={"downhill": -0.12}), ("short", "downhill"), 0.12),
    "long on fast greens": (PlainGolfer(long={"fast": 0.12}), ("long", "fast greens"), 0.12),
    "short on fast greens": (PlainGolfer(long={"fast": -0.12}), ("short", "fast greens"), 0.12),
}

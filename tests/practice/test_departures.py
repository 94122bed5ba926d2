"""Departures from the own stroke, alone and beside other players: by hand and on invented ones."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest

from sgputt.practice.departures import (
    NO_SHAPE,
    RANGES_FT,
    Place,
    Shape,
    Surplus,
    departure_of,
    shape_of,
)

SHORT: Place = (3.0, 7.0, "any")
FAR: Place = (20.0, 35.0, "downhill")
# What the model may be wrong by in one place: 0.06 strokes a round, 0.03 of it this player's alone.
SHARED = (0.06**2 - 0.03**2) ** 0.5


def a_surplus(gained: float, error: float = 0.05, place: Place = SHORT) -> Surplus:
    return Surplus(place, gained, error, further=False)


def test_without_others_the_model_is_right_but_for_a_doubt() -> None:
    gained, doubt = NO_SHAPE.at(SHORT)
    assert gained == 0.0
    assert doubt == pytest.approx(0.06)
    assert shape_of([]).at(FAR) == NO_SHAPE.at(FAR)
    # Players of few rounds have no surplus and are nobody.
    assert shape_of([[], []]) == NO_SHAPE


def test_what_alike_players_share_by_hand() -> None:
    """Four players, each -0.2 give or take 0.1, who differ no more than luck does."""
    shape = shape_of([[a_surplus(-0.2, 0.1)]] * 4)
    each = 0.1**2 + 0.03**2
    told, believed = 4 / each, 1 / SHARED**2
    gained, doubt = shape.at(SHORT)
    assert gained == pytest.approx(-0.2 * told / (told + believed))
    assert doubt == pytest.approx(hypot((told + believed) ** -0.5, 0.03))
    assert shape.players == {SHORT: 4}
    # A place that none of them has putts of is as the model has it.
    assert shape.at(FAR) == NO_SHAPE.at(FAR)


def test_one_other_player_says_little() -> None:
    gained, doubt = shape_of([[a_surplus(-0.3)]]).at(SHORT)
    assert -0.05 < gained < 0
    assert 0.05 < doubt <= 0.06


def test_one_odd_player_among_many_hardly_moves_what_is_usual() -> None:
    usual = [[a_surplus(0.0)] for _ in range(9)]
    gained, _ = shape_of([*usual, [a_surplus(-0.6)]]).at(SHORT)
    assert abs(gained) < 0.6 / 10


def test_what_everybody_loses_is_nobodys_departure() -> None:
    lost = [a_surplus(-0.4), a_surplus(0.0, place=FAR)]
    alone = departure_of(lost, 40)
    assert alone is not None
    assert (alone.low_ft, alone.high_ft, alone.slope, alone.players) == (3.0, 7.0, "any", 0)
    assert departure_of(lost, 40, shape_of([lost] * 11)) is None


def test_what_nobody_else_loses_is_told_more_surely_beside_others() -> None:
    lost = [a_surplus(-0.4), a_surplus(0.0, place=FAR)]
    alone = departure_of(lost, 40)
    fine = [a_surplus(0.0), a_surplus(0.0, place=FAR)]
    # Of a player more few putts are known from there.
    beside = departure_of(lost, 40, shape_of([*[fine] * 11, fine[1:]]))
    assert alone is not None
    assert beside is not None
    assert beside.players == 11
    assert beside.error < alone.error
    assert beside.lost > alone.lost


def test_many_places_ask_for_more_evidence() -> None:
    one = [a_surplus(-0.2, 0.04)]
    assert departure_of(one, 60) is not None
    places = [(low, high, slope) for low, high in RANGES_FT for slope in ("any", "uphill", "level")]
    many = [*one, *(a_surplus(0.0, 0.04, place) for place in places if place != SHORT)]
    assert departure_of(many, 60) is None


def test_pace_is_the_cause_where_misses_stop_further() -> None:
    lost = a_surplus(-0.5, place=FAR)
    found = [departure_of([replace(lost, further=far)], 40) for far in (True, False)]
    assert [each and each.cause for each in found] == ["pace", "direction"]


def test_a_shape_that_is_given_is_taken_off() -> None:
    shape = Shape({SHORT: (-0.4, 0.01)}, {SHORT: 5})
    assert departure_of([a_surplus(-0.4)], 40, shape) is None
    told = departure_of([a_surplus(-0.8)], 40, shape)
    assert told is not None
    assert told.lost < 0.4

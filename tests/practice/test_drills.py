"""The drill catalogue is whole and can be followed; a spoilt drill file says what is wrong."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from sgputt.errors import SgputtError
from sgputt.physics.read import perfect_read
from sgputt.practice.drills import (
    KINDS,
    MAX_BALLS,
    MAX_MINUTES,
    Drill,
    DrillFileError,
    load_caution,
    load_drills,
)
from sgputt.practice.scoring import Gate, break_word, inches, slope_word
from sgputt.stroke.station import Station

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
OWN = """
[[drill]]
id = "my-own"
name = "My own"
kind = "circle"
trains = [{ component = "holing", low_ft = 3, high_ft = 5, slopes = ["level"] }]
cause = ["aim"]
balls = 10
minutes = 5
setup = "Two tees at 4 ft."
do = "Putt."
success = "The ball drops."
dose = "Daily."
scoring = { type = "count", balls = 10, distance_ft = [4, 4], target = "hole" }
"""


@pytest.mark.parametrize("slope", ["uphill", "downhill"])
def test_slope_drills_keep_to_their_slope(slope: str) -> None:
    other = {"uphill": "downhill", "downhill": "uphill"}[slope]
    drill = BY_ID[f"strip-{slope}-6-to-12ft"]
    assert drill.trains_putt(10, slope, "left to right")
    assert not drill.trains_putt(10, other, "left to right")
    assert not drill.trains_putt(20, slope, "left to right")
    assert drill.trains_putt(10, "unknown", "unknown")


def test_break_drills_keep_to_their_break() -> None:
    drill = BY_ID["left-to-right-6-to-20ft"]
    assert drill.trains_putt(10, "level", "left to right")
    assert not drill.trains_putt(10, "level", "right to left")
    assert {break_word(each) for each in drill.scoring.stations} == {"left to right"}


def test_off_green_counts_only_off_the_green() -> None:
    assert len([drill for drill in DRILLS if drill.surface == "off green"]) >= 2


def test_catalogue_is_broad() -> None:
    assert len(DRILLS) >= 40
    assert len(BY_ID) == len(DRILLS)
    assert len({drill.name for drill in DRILLS}) == len(DRILLS)
    assert {drill.kind for drill in DRILLS} == set(KINDS)
    assert {drill.scoring.kind for drill in DRILLS} == {"count", "in a row", "gate"}
    targets = {drill.scoring.target.name for drill in DRILLS}
    assert targets == {"hole", "circle", "strip", "past the hole", "high side", "gate"}


def test_drills_of_version_0_1_are_still_there() -> None:
    """Their logs name them."""
    kept = ["circle-of-eight-5ft", "gate-2ft-ahead", "strip-3-to-7ft", "long-ladder-20-to-40ft"]
    assert set(kept) <= set(BY_ID)


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_a_drill_can_be_followed(drill: Drill) -> None:
    assert 0 < drill.minutes <= MAX_MINUTES
    assert 0 < drill.balls <= MAX_BALLS
    assert 2 <= len(re.findall(r"[.!?](?: |$)", drill.setup)) <= 5
    assert " ft" in drill.setup
    assert re.search(r"Take \d+ balls?\b", drill.setup)
    assert re.search(r"\btees?\b|\bputts\b|\bholes\b", drill.setup)
    assert re.search(r"\b[Ss]top\b", drill.dose)
    assert drill.success.endswith(".")
    seconds = 60 * drill.minutes / drill.balls
    assert 18 <= seconds <= 90, "a ball with its routine takes 18 seconds to a minute and a half"


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_scoring_fits_the_drill(drill: Drill) -> None:
    scoring, target = drill.scoring, drill.scoring.target
    assert scoring.balls == drill.balls
    assert (target.size_ft is None) == (target.name in ("hole", "gate"))
    if isinstance(scoring, Gate):
        assert 0 < scoring.successes <= scoring.balls
        return
    for each in scoring.stations:
        # At an end of a range its own length is in or just out; a straight station also stands for
        # the breaks to both sides of it.
        turn = break_word(each) if break_word(each) != "straight" else ""
        near = (each.length_ft - 0.01, each.length_ft + 0.01)
        assert any(drill.trains_putt(length, slope_word(each), turn) for length in near)
    told = set(drill.habits)
    assert not {"short", "long"} & told or "pace" in drill.cause
    assert not {"left", "right"} & told or "direction" in drill.cause
    assert not {"too little break", "too much break"} & told or "read" in drill.cause


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_set_up_names_the_lengths_it_scores(drill: Drill) -> None:
    numbers = set(re.findall(r"\d+(?:\.\d+)?", drill.setup + drill.success))
    scoring = drill.scoring
    sizes = [scoring.target.size_ft]
    if isinstance(scoring, Gate):
        assert f"{inches(scoring.width_in)} apart" in drill.setup
        sizes.append(scoring.gate_ft)
    stations = [s.length_ft for s in scoring.stations] if drill.kind != "random" else []
    for length in (*stations, *(size for size in sizes if size)):
        assert f"{length:g}" in numbers, f"{length:g} is scored but not set up"
    assert "{" not in drill.setup + drill.do + drill.success + drill.dose


@pytest.mark.parametrize(
    ("direction", "slope", "turn"),
    [
        (0, "downhill", "straight"),
        (45, "downhill", "left to right"),
        (90, "level", "left to right"),
        (-90, "level", "right to left"),
        (-135, "uphill", "right to left"),
        (180, "uphill", "straight"),
    ],
)
def test_words_of_a_station(direction: float, slope: str, turn: str) -> None:
    station = Station(10, direction_deg=direction, grade=0.02)
    assert (slope_word(station), break_word(station)) == (slope, turn)
    # And so the ball does: read.break_in is positive to the left of the line.
    aim = float(perfect_read(10.0, np.radians(direction), 0.02, 10.0).break_in)
    assert (abs(aim) < 0.5) == (turn == "straight")
    assert turn == "straight" or (aim > 0) == (turn == "left to right")


def test_caution_is_said_once() -> None:
    assert "physician" in load_caution()
    assert not any("physician" in drill.safety + drill.dose for drill in DRILLS)


def _write(folder: Path, text: str) -> Path:
    path = folder / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_own_drills_come_behind_the_catalogue(tmp_path: Path) -> None:
    drills = load_drills(_write(tmp_path, OWN))
    assert drills[:-1] == DRILLS
    own = drills[-1]
    assert (own.id, own.file, own.safety) == ("my-own", "own.toml", "")
    assert [slope_word(each) for each in own.scoring.stations] == ["level", "level"]
    assert own.cause == ("direction",), "aim is another word for it"
    assert {break_word(e) for e in own.scoring.stations} == {"left to right", "right to left"}


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"my-own"', '"My Own"', "drill 'My Own', id: 'My Own' stands there; .*Try 'my-own'"),
        ('"my-own"', '"strip-3-to-7ft"', "id: 'strip-3-to-7ft', which the catalogue has already"),
        ('id = "my-own"', "", r"drill 'drill\[1\]', id: nothing stands there; allowed: words"),
        ('kind = "circle"', 'kind = "ring"', "kind: 'ring' stands there; allowed: circle or gate"),
        (
            '["aim"]',
            '["luck"]',
            r"cause: \['luck'\] stands there; allowed: a list of read, direction",
        ),
        ('["aim"]', "[]", r"cause: \[\] stands there"),
        ("minutes = 5", "minutes = 40", "minutes: 40 stands there; .*whole number from 1 to 25"),
        ("minutes = 5", "minutes = true", "minutes: True stands there"),
        ("minutes = 5", "minits = 5", "minits: 5 stands there; .*Did you mean 'minutes'"),
        ('"level"] }', '"flat"] }', r"trains\[1\].slopes: \['flat'\] stands there"),
        (
            "high_ft = 5",
            "high_ft = 2",
            r"trains\[1\].high_ft: 2 stands there; .*low_ft, which is 3",
        ),
        ("high_ft = 5", "high_ft = 500", "high_ft: 500 stands there; allowed: a number from 0 to"),
        ("high_ft = 5", "high_ft = nan", "high_ft: nan stands there"),
        ('"count"', '"tally"', "scoring.type: 'tally' stands there; .*count or in a row or gate"),
        (
            "balls = 10, d",
            "balls = 9, d",
            "scoring.balls: 9 stands there; .*balls of the drill, 10",
        ),
        ("[4, 4]", "[4, 4, 4]", "scoring.balls: 10 stands there; .*3 stations. Try 9"),
        ("[4, 4]", "[4, 400]", r"distance_ft: \[4, 400\] stands there; .*from 0.5 to 100"),
        (
            '"hole" }',
            '"cup" }',
            "target: 'cup' stands there; allowed: hole or circle or strip",
        ),
        ('"hole" }', '"circle" }', "scoring.radius_ft: nothing stands there"),
        ('"hole" }', '"past-window" }', "scoring.window_ft: nothing stands there"),
        (
            '"hole" }',
            '"hole", radius_ft = 3 }',
            "scoring.radius_ft: 3 stands there; .*only the keys",
        ),
        ('"hole" }', '"hole", slope = "flat" }', "slope: 'flat' stands there; .*one for each of 2"),
        ('"hole" }', '"hole", slope = ["level"] }', r"slope: \['level'\] stands there"),
        ("[[drill]]", "[[drils]]", "drill: nothing stands there; allowed: one table or more"),
        ("[[drill]]", "[[drill]", "file: a mistake .* stands there; allowed: TOML in UTF-8"),
    ],
)
def test_a_mistake_is_named(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert old in OWN
    path = _write(tmp_path, OWN.replace(old, new, 1))
    with pytest.raises(DrillFileError, match=message) as caught:
        load_drills(path)
    assert "own.toml" in str(caught.value)
    assert caught.value.hint == "The form is written at the head of drills.toml."


@pytest.mark.parametrize(
    ("scoring", "message"),
    [
        ("type = 'gate', balls = 10, gate_ft = 2, width_in = 1.5, successes = 8", "from 1.7 to 24"),
        ("type = 'gate', balls = 10, gate_ft = 2, width_in = 2, successes = 11", "from 1 to 10"),
        ("type = 'streak', stations_ft = [4], target = 'past-window'", "hole or circle"),
        ("type = 'streak', distance_ft = [4], target = 'hole'", "stations_ft: nothing"),
        ("", "scoring: {} stands there; allowed: a table"),
    ],
)
def test_a_mistake_in_the_scoring_is_named(tmp_path: Path, scoring: str, message: str) -> None:
    text = re.sub(r"scoring = .*", f"scoring = {{ {scoring} }}", OWN)
    with pytest.raises(DrillFileError, match=message):
        load_drills(_write(tmp_path, text))


def test_all_mistakes_come_at_once(tmp_path: Path) -> None:
    text = OWN.replace("minutes = 5", "minutes = 0").replace('"circle"', '"ring"') + OWN
    with pytest.raises(DrillFileError) as caught:
        load_drills(_write(tmp_path, text))
    assert [problem.key for problem in caught.value.problems] == ["kind", "minutes", "id"]
    assert "drills: 3 problems\n" in str(caught.value)
    assert isinstance(caught.value, SgputtError)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(DrillFileError, match=r"none\.toml, file: nothing to read"):
        load_drills(tmp_path / "none.toml")

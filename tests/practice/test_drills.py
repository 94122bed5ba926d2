"""The drill catalogue is whole and can be followed; a spoilt drill file says what is wrong."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sgputt.errors import SgputtError
from sgputt.practice.drills import (
    CAUSES,
    COMPONENTS,
    KINDS,
    MAX_BALLS,
    MAX_MINUTES,
    SLOPES,
    Drill,
    DrillFileError,
    inches,
    load_caution,
    load_drills,
)
from sgputt.putts.bands import LABELS, RANGES_FT

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
HOLING_BANDS = [band for band in LABELS if RANGES_FT[band][1] <= 25]
LEAVE_BANDS = [band for band in LABELS if RANGES_FT[band][0] >= 3]
CELLS = [
    (band, slope, component)
    for component, bands in (("holing", HOLING_BANDS), ("leave", LEAVE_BANDS))
    for band in bands
    for slope in SLOPES
]
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


@pytest.mark.parametrize(("band", "slope", "component"), CELLS)
def test_every_cell_that_can_lose_strokes_has_drills(band: str, slope: str, component: str) -> None:
    shares = sorted(drill.covers(band, slope, component) for drill in DRILLS)
    assert shares[-1] > 0.99, "no one drill trains the whole band"
    if RANGES_FT[band][0] not in (0, 40):
        assert shares[-2] > 0.25, "no second drill to change to"


@pytest.mark.parametrize("slope", ["uphill", "downhill"])
def test_slope_drills_keep_to_their_slope(slope: str) -> None:
    other = {"uphill": "downhill", "downhill": "uphill"}[slope]
    drill = BY_ID[f"strip-{slope}-6-to-12ft"]
    assert drill.covers("10-15 ft", slope, "leave") == 1
    assert drill.covers("10-15 ft", other, "leave") == 0
    assert drill.covers("10-15 ft", slope, "holing") == 0


def test_covers_is_the_share_of_the_band() -> None:
    drill = BY_ID["circle-of-eight-5ft"]
    assert drill.covers("3-5 ft", "level", "holing") == 1
    assert drill.covers("5-7 ft", "level", "holing") == pytest.approx(0.5)
    assert drill.covers("7-10 ft", "level", "holing") == 0


def test_an_unknown_slope_is_a_mean_over_the_three() -> None:
    drill = BY_ID["ladder-below-the-hole"]
    assert drill.covers("3-5 ft", "unknown", "holing") == pytest.approx(1 / 3)


def test_overlapping_ranges_count_once(tmp_path: Path) -> None:
    two = (
        "[{ component = 'holing', low_ft = 3, high_ft = 4.5, slopes = ['level'] },"
        " { component = 'holing', low_ft = 4, high_ft = 5, slopes = ['level'] }]"
    )
    text = re.sub(r"trains = .*", f"trains = {two}", OWN)
    drill = load_drills(_write(tmp_path, text))[-1]
    assert drill.covers("3-5 ft", "level", "holing") == pytest.approx(1)


def test_off_green_counts_only_off_the_green() -> None:
    off = [drill for drill in DRILLS if drill.surface == "off green"]
    assert len(off) >= 2
    for drill in off:
        assert drill.covers("25-40 ft", "uphill", "leave") == 0
        assert drill.covers("25-40 ft", "uphill", "leave", surface="off green") == 1
    assert BY_ID["strip-3-to-7ft"].covers("3-5 ft", "level", "leave", surface="off green") == 0


def test_catalogue_is_broad() -> None:
    assert len(DRILLS) >= 18
    assert len(BY_ID) == len(DRILLS)
    assert len({drill.name for drill in DRILLS}) == len(DRILLS)
    assert {drill.kind for drill in DRILLS} == set(KINDS)
    assert {drill.scoring.type for drill in DRILLS} == {"count", "streak", "gate"}
    targets = {drill.scoring.target for drill in DRILLS}
    assert targets == {"hole", "circle", "past-window", "gate"}


# Aim turns a putt; it hardly changes how far from the hole a miss stops.
CAUSE_CELLS = [(c, cause) for c in COMPONENTS for cause in CAUSES if (c, cause) != ("leave", "aim")]


@pytest.mark.parametrize(("component", "cause"), CAUSE_CELLS)
def test_every_cause_has_drills(component: str, cause: str) -> None:
    fitting = [
        drill
        for drill in DRILLS
        if cause in drill.cause and any(t.component == component for t in drill.trains)
    ]
    assert len(fitting) >= 3


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
    assert 10 <= seconds <= 90, "a ball takes between ten seconds and a minute and a half"


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_scoring_fits_the_drill(drill: Drill) -> None:
    scoring = drill.scoring
    assert scoring.balls == drill.balls
    assert len(scoring.stations_ft) == len(scoring.slopes)
    assert (scoring.radius_ft is not None) == (scoring.target == "circle")
    assert (scoring.window_ft is not None) == (scoring.target == "past-window")
    if scoring.type == "gate":
        assert scoring.successes and scoring.successes <= scoring.balls
        return
    ranges = [(target.low_ft, target.high_ft) for target in drill.trains]
    low, high = min(low for low, _ in ranges), max(high for _, high in ranges)
    assert all(low <= station <= high for station in scoring.stations_ft)
    trained = {slope for target in drill.trains for slope in target.slopes}
    assert set(scoring.slopes) <= trained


@pytest.mark.parametrize("drill", DRILLS, ids=lambda drill: drill.id)
def test_set_up_names_the_lengths_it_scores(drill: Drill) -> None:
    numbers = set(re.findall(r"\d+(?:\.\d+)?", drill.setup))
    scoring = drill.scoring
    sizes = [scoring.window_ft, scoring.gate_ft]
    if scoring.width_in is not None:
        assert f"{inches(scoring.width_in)} apart" in drill.setup
    stations = scoring.stations_ft if drill.kind != "random" else ()
    for length in (*stations, *(size for size in sizes if size)):
        assert f"{length:g}" in numbers, f"{length:g} is scored but not set up"


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
    assert own.scoring.slopes == ("level", "level")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"my-own"', '"My Own"', "drill 'My Own', id: 'My Own' stands there; .*Try 'my-own'"),
        ('"my-own"', '"strip-3-to-7ft"', "id: 'strip-3-to-7ft', which the catalogue has already"),
        ('id = "my-own"', "", r"drill 'drill\[1\]', id: nothing stands there; allowed: words"),
        ('kind = "circle"', 'kind = "ring"', "kind: 'ring' stands there; allowed: circle or gate"),
        ('["aim"]', '["luck"]', r"cause: \['luck'\] stands there; allowed: a list of read, aim"),
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
        ('"count"', '"tally"', "scoring.type: 'tally' stands there; .*count or streak or gate"),
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
            "target: 'cup' stands there; allowed: hole or circle or past-window",
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

"""Settings in the archive, and players and drills by a part of their names."""

from __future__ import annotations

from pathlib import Path

import pytest

from sgputt.archive.store import Archive, Settings
from sgputt.errors import ArchiveError
from sgputt.naming import SeveralNamesError, UnknownNameError, find_named
from sgputt.putts.units import UNITS
from sgputt_cli.commands import archive
from tests.cli.conftest import Command

CARD = "date,player,course,hole,putts,putt1\n2026-05-{day:02},{player},Heron Mere,1,1,9\n,,,2,1,8\n"


def card(home: Path, player: str, day: int) -> Path:
    path = home / f"{player}-{day}.csv"
    path.write_text(CARD.format(day=day, player=player), encoding="utf-8")
    return path


@pytest.fixture
def two(sgputt: Command, home: Path) -> Command:
    """An archive of two players."""
    for player, day in (("Ada Brook", 3), ("Mara Lindqvist", 4), ("Ada Brook", 5)):
        assert sgputt("import", card(home, player, day)).status == 0
    return sgputt


def test_they_are_kept_and_taken_away(sgputt: Command) -> None:
    assert sgputt("settings", "--json").json == {
        "player": None,
        "unit": None,
        "shown_in": "feet",
        "handed": None,
    }
    ran = sgputt(
        *("settings", "--player", "Ada", "--unit", "m"),
        *("--shown-in", "metres", "--handed", "left", "--json"),
    )
    found = {"player": "Ada", "unit": "m", "shown_in": "metres", "handed": "left"}
    assert ran.json == found and sgputt("settings", "--json").json == found
    said = sgputt("settings").out
    assert "Ada" in said and "metres" in said and "left" in said
    assert sgputt("settings", "--unit", "", "--json").json == {**found, "unit": None}
    assert sgputt("settings", "--player", "", "--json").json["player"] is None


def test_unit_and_hand_are_the_players_own(two: Command, home: Path) -> None:
    two("settings", "--player", "ada", "--unit", "m", "--handed", "left")
    two("settings", "--player", "mara", "--unit", "paces")
    with Archive(home / "archive.sqlite") as archive:
        assert archive.settings() == Settings("Mara Lindqvist", "paces")
        assert archive.settings("ADA  brook") == Settings("Mara Lindqvist", "m", "feet", "left")
        assert archive.settings("Nobody").unit is None


def test_what_cannot_be_is_refused(sgputt: Command, home: Path) -> None:
    for words in (("--unit", "elbows"), ("--shown-in", "yards"), ("--handed", "both")):
        assert sgputt("settings", *words).status == 2
    with Archive(home / "archive.sqlite") as archive:
        with pytest.raises(ArchiveError, match="elbows") as caught:
            archive.change_settings(unit="elbows")
        assert "paces" in caught.value.hint
        archive.query("INSERT INTO settings VALUES ('', 'shown_in', 'X')")
        with pytest.raises(ArchiveError, match="damaged"):
            archive.settings()


def test_the_units_are_those_of_the_library() -> None:
    assert list(archive.UNITS) == list(UNITS)


def test_the_player_set_is_meant_where_none_is_named(two: Command) -> None:
    assert two("season", "--json").status == 2
    assert "settings --player" in two("season").err
    two("settings", "--player", "mara")
    assert two("season", "--json").json["player"] == "Mara Lindqvist"
    assert two("season", "--player", "brook", "--json").json["player"] == "Ada Brook"
    assert "Mara" in two("round").out
    # All rounds are listed and exported as before.
    assert len(two("rounds", "--json").json) == 3
    assert len(two("rounds", "--player", "ada", "--json").json) == 2


def test_a_player_set_who_has_no_rounds_stops_nothing(sgputt: Command, home: Path) -> None:
    sgputt("settings", "--player", "Nobody Yet")
    sgputt("import", card(home, "Ada Brook", 3))
    assert sgputt("season", "--json").json["player"] == "Ada Brook"


def test_a_player_set_who_is_new_is_said(two: Command) -> None:
    ran = two("settings", "--player", "Nobody Yet")
    assert ran.status == 0
    assert "'Nobody Yet' is new here: nothing is stored under that name." in ran.err
    assert "Ada Brook" in ran.err
    assert two("settings", "--player", "ada").err == ""


def test_a_name_is_found_without_its_accents(two: Command, home: Path) -> None:
    two("import", card(home, "Éloïse Núñez", 6))
    for part in ("eloise", "NUNEZ", "éloise"):
        assert two("season", "--player", part, "--json").json["player"] == "Éloïse Núñez"
    # Letters as they were typed come first.
    two("import", card(home, "Eloise Lee", 7))
    assert two("season", "--player", "eloise", "--json").json["player"] == "Eloise Lee"


def test_a_part_that_several_have_is_asked_about(two: Command, home: Path) -> None:
    two("import", card(home, "Ada Lindqvist", 6))
    for part in ("ada", "LINDQVIST"):
        ran = two("season", "--player", part)
        assert ran.status == 2 and "Ada Lindqvist" in ran.err
    assert two("season", "--player", "ada b", "--json").json["player"] == "Ada Brook"
    ran = two("season", "--player", "tom")
    assert ran.status == 1 and "Ada Brook" in ran.err


def test_the_whole_name_wins_over_a_part() -> None:
    names = {each: each for each in ("Ann", "Ann Lee", "Joanna")}
    assert find_named("ann", names, "player") == "Ann"
    assert find_named("lee", names, "player") == "Ann Lee"
    with pytest.raises(SeveralNamesError, match="'an'"):
        find_named("an", names, "player")
    for asked in ("", "tom"):
        with pytest.raises(UnknownNameError):
            find_named(asked, names, "player")
    with pytest.raises(UnknownNameError) as caught:
        find_named("joana", names, "player")
    assert "Joanna" in caught.value.hint


def test_drills_by_title_and_by_part(sgputt: Command) -> None:
    drills = sgputt("drills", "--json").json
    first = drills[0]
    for asked in (first["id"].upper(), first["name"], first["name"].swapcase()):
        assert sgputt("drills", asked, "--json").json[0]["id"] == first["id"]
    every = [(each["id"], f"{each['id']} {each['name']}".casefold()) for each in drills]
    parts = {name: name[:-1] for name, _ in every}
    name, part = next(
        (name, part)
        for name, part in parts.items()
        if sum(part in called for _, called in every) == 1
    )
    assert sgputt("drills", part, "--json").json[0]["id"] == name
    ran = sgputt("drills", "no-such-drill-at-all")
    assert ran.status == 2 and "sgputt drills" in ran.err

"""Names that look the same are the same; nothing unseen is kept in one."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.safe_text import clean, json_text, name_key, on_a_page, printable
from sgputt.scorecard import CardOptions

# Marks of direction, blanks of no width, joiners, fillers, a variation, a tag.
UNSEEN = [
    *"\u061c\u200e\u200f\ufeff\u200b\u200c\u200d\u2060\u00ad\u180e\u202a\u202e\u2066\u2069\u3164",
    *"\u034f\ufe0f\U000e0041",
]
TURNS = "\u061c\u200e\u200f\ufeff\u202e\u2066"


@pytest.mark.parametrize("sign", UNSEEN, ids=[f"U+{ord(sign):04X}" for sign in UNSEEN])
def test_what_is_not_seen_makes_no_other_name(sign: str) -> None:
    for name in (f"Ann Lee{sign}", f"{sign}Ann Lee", f"Ann {sign}Lee", f"Ann{sign} {sign}Lee"):
        assert clean(name) == "Ann Lee", ascii(name)
    assert name_key(f"An{sign}n  LEE{sign}{sign}") == name_key("ann lee")
    assert clean(sign) == ""


@pytest.mark.parametrize("sign", TURNS, ids=[f"U+{ord(sign):04X}" for sign in TURNS])
def test_marks_of_direction_are_treated_alike(sign: str) -> None:
    text = f"A{sign}nn"
    assert clean(text) == on_a_page(text) == "Ann"
    assert sign not in printable(text) and sign not in json_text(text)


def test_what_languages_and_pictures_need_stays() -> None:
    for name in ("Zoë", "می\u200cخواهم", "\U0001f468\u200d\U0001f469", "Nguyễn Ánh", "王 小明"):
        assert clean(name) == name
    assert name_key("Zoe\u0308") == name_key("ZOË")


@given(st.text())
def test_a_clean_name_is_clean(text: str) -> None:
    # The one letter of Unicode whose capital is that of another: dotless, as in Turkish.
    text = text.replace("\N{LATIN SMALL LETTER DOTLESS I}", "")
    assert clean(clean(text)) == clean(text)
    assert name_key(clean(text)) == name_key(text) == name_key(name_key(text))
    assert name_key(text.swapcase().casefold()) == name_key(text.casefold())


@pytest.mark.parametrize("sign", UNSEEN, ids=[f"U+{ord(sign):04X}" for sign in UNSEEN])
def test_a_card_makes_no_second_player_who_looks_the_same(tmp_path: Path, sign: str) -> None:
    card = tmp_path / "round.csv"
    with Archive(tmp_path / "archive.sqlite") as archive:
        for day, name in ((3, "Ann Lee"), (4, f"Ann Lee{sign}"), (5, f"ann{sign} lee")):
            card.write_text(
                f"date,player,hole,putts,putt1\n2026-05-0{day},{name},1,1,9\n", encoding="utf-8"
            )
            assert not take_in(card, archive, CardOptions()).problems
        assert archive.players() == ["Ann Lee"]
        assert archive.rounds(f"{sign}ANN  lee").height == 3

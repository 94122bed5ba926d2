"""The chart script: kept from one process to the next, never trusted when it is not whole."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest
import vl_convert

from sgputt_reports import runtime


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """A cache of its own; every bundle made is noted."""
    snippets: list[str] = []

    def bundle(snippet: str) -> str:
        snippets.append(snippet)
        return "let vega = 'é';"

    monkeypatch.setattr(vl_convert, "javascript_bundle", bundle)
    monkeypatch.setattr(platformdirs, "user_cache_dir", lambda *_, **__: str(tmp_path / "cache"))
    return snippets


def test_the_bundle_is_made_once_and_kept(made: list[str], tmp_path: Path) -> None:
    first, second = runtime._vega(), runtime._vega()
    assert first == second
    assert len(made) == 1
    [kept] = (tmp_path / "cache").iterdir()
    assert vl_convert.get_vega_version() in kept.name
    assert kept.read_text(encoding="utf-8") == first


@pytest.mark.parametrize("damage", [b"let vega", b"\xff\xfe"])
def test_a_damaged_one_is_made_anew(made: list[str], tmp_path: Path, damage: bytes) -> None:
    whole = runtime._vega()
    [kept] = (tmp_path / "cache").iterdir()
    kept.write_bytes(damage)
    assert runtime._vega() == whole
    assert len(made) == 2
    assert kept.read_text(encoding="utf-8") == whole


def test_without_a_cache_it_is_made_each_time(made: list[str], tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    assert runtime._vega() == runtime._vega()
    assert len(made) == 2


def test_the_licences_of_the_bundle_travel_in_the_page() -> None:
    """At the head of the script, as one comment; the bundle itself says nothing of licences."""
    head, _, rest = runtime.runtime().partition("*/\n")
    assert head.startswith("/*!\n")
    assert "/*" not in head[2:]
    for holder in (
        "University of Washington Interactive Data Lab",
        "Mike Bostock",
        "Joachim Wester",
    ):
        assert holder in head
    for words in (
        "Redistributions in binary form must reproduce the above copyright notice",
        "Permission to use, copy, modify, and/or distribute this software for any purpose",
        "Permission is hereby granted, free of charge, to any person obtaining a copy",
        "Licensed under the Apache License, Version 2.0",
    ):
        assert head.count(words) == 1
    assert "Redistribution" not in rest


def test_the_notices_are_of_the_libraries_bundled_now() -> None:
    """They were gathered from the packages of these versions: gather again when one moves on."""
    versions = (
        vl_convert.get_vega_version(),
        vl_convert.get_vegalite_versions()[-1],
        vl_convert.get_vega_embed_version(),
        vl_convert.get_vega_themes_version(),
    )
    assert [each.partition(".")[0] for each in versions] == ["6", "6", "7", "3"]

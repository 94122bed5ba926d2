"""Finding what a user names: a player or a drill, in full or by a part that only it has."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence

from sgputt.errors import SgputtError
from sgputt.safe_text import name_key, shown, without_accents


class UnknownNameError(SgputtError):
    """Nothing is called that."""


class SeveralNamesError(SgputtError):
    """More than one thing is called that."""


def new_name_words(asked: str, known: Sequence[str], what: str) -> str:
    """What to say of a name that is taken for a new one; empty where it is a known one.

    Parameters
    ----------
    asked : str
        As it was written, in full.
    known : sequence of str
        Those that there are.
    what : str
        What they are: player.
    """
    try:
        find_named(asked, dict(zip(known, known, strict=True)), what, parts=False)
    except UnknownNameError as exc:
        part = name_key(asked)
        inside = [name for name in known if part and part in name_key(name)]
        hint = f"Did you mean {' or '.join(map(repr, inside))}?" if inside else exc.hint
        said = f"'{shown(asked)}' is new here: nothing is stored under that name."
        return f"{said} {hint}" if known else said
    return ""


def find_named(
    asked: str, names: Mapping[str, str], what: str, see: str = "", parts: bool = True
) -> str:
    """The one that is meant, capitals, spaces and unseen signs aside.

    Accents may be left out where no name has the letters as they were typed.

    Parameters
    ----------
    asked : str
        As the user typed it: a whole name, or a part that only one has.
    names : mapping of str to str
        What each is called, and what it is; several names may be of one.
    what : str
        What they are: player, drill.
    see : str
        What to type to see them all; else they are listed.
    parts : bool
        Whether a part of a name will do.

    Raises
    ------
    UnknownNameError, SeveralNamesError
        None is called that, or several are.

    Examples
    --------
    >>> find_named("ada", {"Ada Brook": "Ada Brook", "Tom Vale": "Tom Vale"}, "player")
    'Ada Brook'
    >>> find_named("eloise", {"Éloïse Brand": "Éloïse Brand"}, "player")
    'Éloïse Brand'
    """
    if asked in names:
        return names[asked]
    whole = {name_key(name): one for name, one in names.items()}
    part = name_key(asked)
    if part in whole:
        return whole[part]
    found = dict.fromkeys(one for name, one in whole.items() if parts and part and part in name)
    if parts and not found and (bare := without_accents(part)):
        found = dict.fromkeys(one for name, one in whole.items() if bare in without_accents(name))
    if len(found) == 1:
        return next(iter(found))
    if found:
        raise SeveralNamesError(
            f"'{shown(asked)}' is part of the name of more than one {what}.",
            f"Name one: {', '.join(found)}.",
        )
    near = difflib.get_close_matches(part, whole, n=1)
    every = ", ".join(dict.fromkeys(names.values()))
    listed = f"See them with: {see}" if see else f"{what.capitalize()}s: {every}."
    hint = f"Did you mean '{whole[near[0]]}'?" if near else listed
    raise UnknownNameError(f"There is no {what} '{shown(asked)}'.", hint)

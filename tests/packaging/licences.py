"""Licences of the libraries that sgputt needs, as their own metadata state them.

Run as a module it writes LICENCES.md from what is installed.
"""

from __future__ import annotations

import sys
from importlib.metadata import Distribution
from typing import NamedTuple

from packaging.utils import canonicalize_name

from tests.packaging import pins

PAGE = pins.ROOT / "LICENCES.md"
UNKNOWN = "unknown"
# How the field License and the classifiers say what SPDX names.
NAMES = {
    "MIT": "MIT",
    "MIT License": "MIT",
    "BSD-3-Clause": "BSD-3-Clause",
    "2-clause BSD": "BSD-2-Clause",
    "Apache-2.0": "Apache-2.0",
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "MIT OR Apache-2.0": "MIT OR Apache-2.0",
    "MPL-2.0": "MPL-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
# Words that tell a licence by its text; the first that stands in it counts.
TEXTS = {
    "Neither the name": "BSD-3-Clause",
    "may be used to endorse or promote products derived from": "BSD-3-Clause",
    "Redistribution and use in source and binary forms": "BSD-2-Clause",
    "Permission is hereby granted, free of charge": "MIT",
    "Mozilla Public License": "MPL-2.0",
    "Apache License": "Apache-2.0",
}
COPYLEFT = ("AGPL", "LGPL", "GPL", "MPL", "EPL", "CDDL", "EUPL", "SSPL")
# A change to a file of theirs stays under their licence; a program that only uses them need not.
OF_THE_FILE = ("MPL-2.0",)
CARRIED = {
    "GCC RUNTIME LIBRARY EXCEPTION": (
        "GCC's runtime libraries, GPL-3.0 with the exception that lets any program link to them"
    )
}
HEAD = """\
# Licences

sgputt is under the MIT licence ([LICENSE](LICENSE)). It is distributed without the libraries below:
pip fetches each from its own package, under its own licence. Versions are those pinned in
`constraints.txt`, for Python 3.11 on Linux. Written by `make pins` from the metadata of what is
installed; a test holds that it is up to date and that nothing here stands against MIT.
"""


class Stated(NamedTuple):
    """A licence, and where the package states it."""

    licence: str
    where: str


def stated(package: Distribution) -> Stated:
    """Licence of an installed package: its expression, else its field, its text, its classifier."""
    expression, field = _first(package, "License-Expression"), _first(package, "License")
    if expression:
        return Stated(expression, "expression")
    if field.strip() in NAMES:
        return Stated(NAMES[field.strip()], "field")
    for text in (field, *_texts(package)):
        by_words = next((name for words, name in TEXTS.items() if words in text), None)
        if by_words:
            return Stated(by_words, "text")
    classes = [line.rpartition(" :: ")[2] for line in package.metadata.get_all("Classifier") or []]
    named = sorted({NAMES[each] for each in classes if each in NAMES})
    return Stated(" OR ".join(named), "classifier") if named else Stated(UNKNOWN, "nowhere")


def _first(package: Distribution, name: str) -> str:
    return next(iter(package.metadata.get_all(name) or []), "")


def _texts(package: Distribution) -> list[str]:
    """Licence texts beside the metadata of a package."""
    words = ("licen", "copying", "notice")
    return [
        path.read_text(encoding="utf-8")
        for path in package.files or []
        if ".dist-info" in path.parts[0] and any(each in path.name.lower() for each in words)
    ]


def copyleft(licence: str) -> bool:
    """Whether a licence, or one joined to it by AND, asks that changes stay under it."""
    choices = [each.strip(" ()") for each in licence.split(" OR ")]
    return all(any(word in choice for word in COPYLEFT) for choice in choices)


def carried(package: Distribution) -> list[str]:
    """Copyleft parts that the binary package says it carries along."""
    whole = "\n".join(_texts(package))
    return [what for words, what in CARRIED.items() if words in whole]


def rows(part: str | None) -> list[tuple[str, str, str, str]]:
    """Name, version, licence and standing of what sgputt or an extra needs.

    An extra's table leaves out what sgputt needs anyway.
    """
    direct = {canonicalize_name(each.name) for each in pins.asked(part)}
    needed = pins.closure(pins.asked(part))
    known = pins.closure(pins.asked()).keys() if part else set()
    return [
        (name, each.version, stated(each).licence, "direct" if name in direct else "through others")
        for name, each in needed.items()
        if name not in known
    ]


def aloud(part: str | None) -> list[str]:
    """Sentences that name what is copyleft in a table, and what is carried along."""
    needed = pins.closure(pins.asked(part))
    listed = {name: licence for name, _, licence, _ in rows(part)}
    asking = [f"{name} ({licence})" for name, licence in listed.items() if copyleft(licence)]
    said = [f"**Copyleft**: {', '.join(asking)}."] if asking else []
    bundles: dict[str, list[str]] = {}
    for name in listed:
        for what in carried(needed[name]):
            bundles.setdefault(what, []).append(name)
    said += [f"**Carried along** by {' and '.join(who)}: {what}." for what, who in bundles.items()]
    return said


def section(part: str | None) -> str:
    """Table of what sgputt or an extra needs, with its heading."""
    note = "Tools to build and test it; no user needs them.\n\n" if part == pins.TOOLS else ""
    table = "".join(f"| {' | '.join(row)} |\n" for row in rows(part))
    words = "".join(f"\n{sentence}\n" for sentence in aloud(part))
    head = "| package | version | licence | needed |\n|---|---|---|---|\n"
    return f"\n## {title(part)}\n\n{note}{head}{table}{words}"


def sections() -> dict[str, str]:
    """LICENCES.md as it stands, by heading."""
    parts = PAGE.read_text(encoding="utf-8").split("\n## ")
    return {each.partition("\n")[0]: f"\n## {each}" for each in parts[1:]}


def title(part: str | None) -> str:
    """Heading of the table of sgputt or of an extra."""
    return f"Extra `{part}`" if part else "What sgputt needs"


def text() -> str:
    """What LICENCES.md should hold."""
    return HEAD + section(None) + "".join(section(extra) for extra in pins.extras())


if __name__ == "__main__":
    try:
        PAGE.write_text(text(), encoding="utf-8")
    except pins.NotInstalledError as exc:
        every = ",".join(pins.extras())
        raise SystemExit(f"{exc} is not installed: pip install -e '.[{every}]'") from None
    sys.stdout.write(f"Written: {PAGE.name}\n")

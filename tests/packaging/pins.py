"""What pyproject.toml asks for, what constraints.txt pins, and what is installed.

Run as a module it writes constraints-lowest.txt from the lower bounds in pyproject.toml.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterable
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
PINNED, LOWEST = ROOT / "constraints.txt", ROOT / "constraints-lowest.txt"
OURS = "sgputt"
TOOLS = "dev"
HEAD = """\
# The lowest version of each direct dependency that pyproject.toml allows.
# Written by: make pins
"""


class NotInstalledError(Exception):
    """A package that pyproject.toml asks for, or one that it needs, is not in this environment."""


def project() -> dict[str, Any]:
    """Table ``project`` of pyproject.toml, with ``build`` for what the build needs."""
    whole = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return {**whole["project"], "build": whole["build-system"]["requires"]}


def extras() -> list[str]:
    """Names of the optional extras."""
    return sorted(project()["optional-dependencies"])


def asked(extra: str | None = None) -> list[Requirement]:
    """What sgputt itself asks for, or one extra; an extra that names others stands for them too."""
    table = project()
    lines = table["optional-dependencies"][extra] if extra else table["dependencies"]
    found: list[Requirement] = []
    for each in map(Requirement, lines):
        if canonicalize_name(each.name) == OURS:
            found += [inner for name in sorted(each.extras) for inner in asked(name)]
        else:
            found.append(each)
    return found


def everything() -> list[Requirement]:
    """Every direct dependency: of sgputt, of each extra and of the build."""
    found = asked() + [each for extra in extras() for each in asked(extra)]
    return found + [Requirement(line) for line in project()["build"]]


def closure(roots: Iterable[Requirement]) -> dict[str, Distribution]:
    """The installed packages that these need, themselves included, by normal name.

    Raises
    ------
    NotInstalledError
        One of them is not here.
    """
    found: dict[str, Distribution] = {}
    seen = set()
    todo = [each for each in roots if _applies(each, ())]
    while todo:
        wanted = todo.pop()
        name, parts = canonicalize_name(wanted.name), frozenset(wanted.extras)
        if (name, parts) in seen:
            continue
        seen.add((name, parts))
        try:
            found[name] = distribution(wanted.name)
        except PackageNotFoundError as exc:
            raise NotInstalledError(wanted.name) from exc
        needs = map(Requirement, found[name].requires or [])
        todo += [each for each in needs if _applies(each, parts)]
    return dict(sorted(found.items()))


def _applies(wanted: Requirement, parts: Iterable[str]) -> bool:
    if wanted.marker is None:
        return True
    return any(wanted.marker.evaluate({"extra": extra}) for extra in (*parts, ""))


def pins(path: Path = PINNED) -> dict[str, str]:
    """Pinned versions by normal name; every line that is no comment must be a pin."""
    found: dict[str, str] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            name, equals, version = line.partition("==")
            if not equals or canonicalize_name(name) in found:
                raise ValueError(f"{path.name}: {line!r} is no pin, or the second of its name")
            found[canonicalize_name(name)] = version
    return found


def lowest(wanted: Requirement) -> str | None:
    """Lower bound of a requirement, None where it has none."""
    bounds = [each.version for each in wanted.specifier if each.operator in (">=", "~=", "==")]
    return bounds[0] if len(bounds) == 1 else None


def lowest_text() -> str:
    """What constraints-lowest.txt should hold."""
    bounds = {canonicalize_name(each.name): lowest(each) for each in everything()}
    lines = [f"{name}=={bound}\n" for name, bound in sorted(bounds.items()) if bound]
    return HEAD + "".join(lines)


if __name__ == "__main__":
    LOWEST.write_text(lowest_text(), encoding="utf-8")
    sys.stdout.write(f"Written: {LOWEST.name}\n")

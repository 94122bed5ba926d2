"""The layout of the house: which way imports run, what starts fast."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from pathlib import Path

import click
import pytest

from sgputt_cli.main import COMMANDS

ROOT = Path(__file__).parents[1]
HOMES = {"sgputt": ROOT, "sgputt_reports": ROOT / "reports", "sgputt_cli": ROOT / "cli"}
# Ranks inside sgputt, from the ground up: a part may import its own rank's own part and what lies
# below, never a neighbour of its rank or anything above.
RANKS = [
    {"errors", "safe_text", "wording", "reference", "files", "naming", "digests"},
    {"putts"},
    {"scorecard", "archive", "physics"},
    {"stroke"},
    {"baseline"},
    {"gained"},
    {"inference"},
    {"season", "bulk"},
    {"course"},
    {"practice"},
    {"analysis"},
    {"practice_intake"},
    {"api", "intake", "demo", "study"},
    {"__init__"},
]
RANK = {part: rank for rank, parts in enumerate(RANKS) for part in parts}
# These may raise errors of sgputt.errors, which lies beside them on the ground.
BESIDE = {
    ("reference", "errors"),
    ("digests", "reference"),
    ("files", "errors"),
    ("naming", "errors"),
    ("naming", "safe_text"),
}
NOT_IN_SGPUTT = {"click", "altair", "vl_convert", "jinja2", "rich", "sgputt_reports", "sgputt_cli"}
HEAVY = ("polars", "numpy", "scipy", "pandas", "altair", "pyarrow", "jinja2", "rich", "openpyxl")


def modules(package: str) -> list[Path]:
    return sorted((HOMES[package] / package).rglob("*.py"))


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def imports(path: Path) -> Iterator[str]:
    """Every module that a file names in an import, however deep inside it."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name_of(path)}: write imports in full"
            assert node.module is not None
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def tops(path: Path) -> set[str]:
    return {name.split(".")[0] for name in imports(path)}


def test_the_arrows_of_the_three_packages() -> None:
    wrong = [name_of(p) for p in modules("sgputt") if tops(p) & NOT_IN_SGPUTT]
    wrong += [name_of(p) for p in modules("sgputt_reports") if tops(p) & {"sgputt_cli", "click"}]
    assert wrong == []


def part_of(module: str) -> str | None:
    """Part of sgputt that a dotted name lies in; None for the package itself or another's."""
    names = module.split(".")
    return names[1] if names[0] == "sgputt" and len(names) > 1 else None


def test_every_part_of_sgputt_has_a_rank() -> None:
    parts = {path.relative_to(ROOT / "sgputt").parts[0] for path in modules("sgputt")}
    assert {part.removesuffix(".py") for part in parts} - {"__init__"} <= set(RANK)


def test_imports_inside_sgputt_run_downward() -> None:
    wrong = set()
    for path in modules("sgputt"):
        here = path.relative_to(ROOT / "sgputt").parts[0].removesuffix(".py")
        for there in {part_of(name) for name in imports(path)} - {None, here}:
            assert there is not None
            if there in RANK and RANK[there] >= RANK[here] and (here, there) not in BESIDE:
                wrong.add(f"{name_of(path)} imports sgputt.{there}")
    assert sorted(wrong) == []


def test_a_scorecard_reader_stays_below_the_engine() -> None:
    engine = {"baseline", "gained", "inference", "season", "practice"}
    readers = {"scorecard", "archive", "intake"}
    for path in modules("sgputt"):
        here = path.relative_to(ROOT / "sgputt").parts[0]
        if here in engine:
            assert not {part_of(name) for name in imports(path)} & readers, name_of(path)


def test_commands_compute_nothing_with_arrays_themselves() -> None:
    # A command hands figures on; statistics belong to the library.
    wrong = [name_of(path) for path in modules("sgputt_cli") if tops(path) & {"scipy", "pandas"}]
    assert wrong == []


def test_every_command_has_a_module_and_every_module_a_command() -> None:
    folder = HOMES["sgputt_cli"] / "sgputt_cli" / "commands"
    files = {path.stem for path in folder.glob("*.py") if path.stem != "__init__"}
    assert files == {module for module, _ in COMMANDS.values()}
    for name, (module, _) in COMMANDS.items():
        held = vars(import_module(f"sgputt_cli.commands.{module}")).values()
        assert [each.name for each in held if isinstance(each, click.Command)].count(name) == 1


def test_what_is_typed_is_parsed_with_click_alone() -> None:
    """A module of commands imports at its top nothing of ours but the shared options."""
    for path in (HOMES["sgputt_cli"] / "sgputt_cli" / "commands").glob("*.py"):
        top = [node for node in tree(path).body if isinstance(node, ast.ImportFrom)]
        ours = {str(node.module) for node in top if str(node.module).startswith("sgputt")}
        assert ours <= {"sgputt_cli.options"}, name_of(path)


def test_a_command_imports_the_one_module_that_does_its_work() -> None:
    inside = [
        (path, node)
        for path in (HOMES["sgputt_cli"] / "sgputt_cli" / "commands").glob("*.py")
        for function in tree(path).body
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert len(inside) >= len(COMMANDS)
    for path, node in inside:
        assert isinstance(node, ast.ImportFrom), name_of(path)
        assert str(node.module).split(".")[0] == "sgputt_cli", name_of(path)


@pytest.mark.parametrize(
    ("work", "not_needed"),
    [
        ("cards", "scipy altair jinja2 sgputt_reports rich sgputt.practice sgputt.analysis"),
        ("archive", "scipy altair jinja2 sgputt_reports sgputt.practice sgputt.analysis"),
        ("baselines", "altair jinja2 sgputt_reports sgputt.practice sgputt.analysis"),
        ("greens", "altair jinja2 sgputt_reports sgputt.analysis"),
        ("season", "altair jinja2 sgputt_reports"),
        ("drills", "altair jinja2 sgputt_reports"),
    ],
)
def test_a_command_loads_only_what_it_needs(work: str, not_needed: str) -> None:
    code = f"import sys, sgputt_cli.{work}\nprint(set({not_needed.split()}) & {{*sys.modules}})"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "set()"


@pytest.mark.parametrize("start", ["import sgputt_cli.main", "HELP"])
def test_nothing_heavy_is_loaded_to_start(start: str) -> None:
    """In a process of its own: neither the import nor ``sgputt season -h`` may load an engine."""
    if start == "HELP":
        start = (
            "import sgputt_cli.main as main\nmain.cli.main(['season', '-h'], standalone_mode=False)"
        )
    check = f"{start}\nimport sys\nprint('loaded', sorted({HEAVY!r} & sys.modules.keys()))"
    check = check.replace(f"{HEAVY!r}", f"set({HEAVY!r})")
    done = subprocess.run(
        [sys.executable, "-c", check], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "loaded []"


def commands_of_readme() -> set[str]:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| `(\w+)", text.partition("## Commands")[2], re.MULTILINE))


def test_readme_lists_every_command_and_no_other() -> None:
    assert commands_of_readme() == set(COMMANDS)


def test_readme_options_exist() -> None:
    """Every option that the README names is an option of some command."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text))
    source = "".join(p.read_text(encoding="utf-8") for p in modules("sgputt_cli"))
    known = set(re.findall(r'"(--[a-z][a-z-]+)"', source))
    assert named - known - {"--help"} == set()


def test_no_two_classes_have_one_name() -> None:
    found: dict[str, list[str]] = {}
    for package in HOMES:
        for path in modules(package):
            for node in ast.walk(tree(path)):
                if isinstance(node, ast.ClassDef):
                    found.setdefault(node.name, []).append(name_of(path))
    assert len(found) > 100
    assert {name: where for name, where in found.items() if len(where) > 1} == {}

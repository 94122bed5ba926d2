"""Offline pages of what sgputt found."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from types import CodeType, ModuleType


class _Keeping(SourceFileLoader):
    """Compiles with docstrings, whatever this Python was told."""

    def get_code(self, fullname: str) -> CodeType:
        path = self.get_filename(fullname)
        code: CodeType = compile(self.get_data(path), path, "exec", dont_inherit=True, optimize=0)
        return code


class _Finder:
    """Finds modules of one package for that loader."""

    def __init__(self, package: str) -> None:
        self._package = package

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if name.partition(".")[0] != self._package:
            return None
        spec = PathFinder.find_spec(name, path, target)
        if spec is not None and isinstance(spec.loader, SourceFileLoader):
            spec.loader = _Keeping(spec.loader.name, spec.loader.path)
        return spec


def keep_docstrings(package: str) -> None:
    """Let a package be imported with its docstrings; to be called before its import."""
    if sys.flags.optimize > 1 and package not in sys.modules:
        sys.meta_path.insert(0, _Finder(package))


# It cannot be imported without its own docstrings.
keep_docstrings("altair")

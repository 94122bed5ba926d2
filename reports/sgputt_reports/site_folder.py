"""A folder of pages: which files in it are ours, from what each was made, what may be replaced."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from sgputt.errors import SgputtError
from sgputt.files import write_whole
from sgputt.safe_text import shown

LIST_NAME = ".sgputt-pages.json"
_FORM = 1
_MOST_NAMED = 5


@dataclass
class Entry:
    """A file of ours.

    Attributes
    ----------
    made_from : str
        Digest of everything that it was made from.
    content : str or None
        Digest of what was written; None while it is being written.
    """

    made_from: str
    content: str | None = None


@dataclass
class SiteFolder:
    """The folder and the list of our files in it, which is kept there."""

    path: Path
    entries: dict[str, Entry] = field(default_factory=dict)
    program: str = ""

    @classmethod
    def open(cls, path: Path) -> SiteFolder:
        """Read the list of a folder, which need not exist yet.

        Raises
        ------
        SgputtError
            There is a file of that name, or the list cannot be read.
        """
        if path.exists() and not path.is_dir():
            raise SgputtError(f"{path} is a file.", "Name a folder for the pages.")
        listed = path / LIST_NAME
        if not listed.exists():
            return cls(path)
        try:
            kept = json.loads(listed.read_text(encoding="utf-8"))
            entries = {
                str(name): Entry(str(made), None if content is None else str(content))
                for name, (made, content) in kept["files"].items()
            }
            if kept["form"] != _FORM:
                raise ValueError(kept["form"])
            return cls(path, entries, str(kept["program"]))
        except (OSError, ValueError, KeyError, TypeError, AttributeError) as exc:
            raise SgputtError(
                f"{listed}, the list of pages in that folder, cannot be read.",
                "Name a new folder, or delete this one if nothing but pages of sgputt is in it.",
            ) from exc

    def stale(self, wanted: Mapping[str, str]) -> list[str]:
        """Files that are not there as they should be, of ``wanted`` names and what makes them."""
        return [name for name, made_from in wanted.items() if not self._stands(name, made_from)]

    def _stands(self, name: str, made_from: str) -> bool:
        entry = self.entries.get(name)
        return entry is not None and entry.made_from == made_from and self._untouched(name, entry)

    def _untouched(self, name: str, entry: Entry) -> bool:
        file = self.path / name
        return file.is_file() and entry.content == _digest(file.read_bytes())

    def begin(self, names: Sequence[str], program: str) -> None:
        """Note that these files are about to be written.

        Raises
        ------
        SgputtError
            One of them would replace what is not ours, or what somebody changed since.
        """
        foreign = [name for name in names if not self._may_write(name)]
        if foreign:
            named = ", ".join(shown(name) for name in foreign[:_MOST_NAMED])
            more = f" and {len(foreign) - _MOST_NAMED} more" if len(foreign) > _MOST_NAMED else ""
            raise SgputtError(
                f"In {self.path} there is something else, or a page that was changed by hand,"
                f" where pages would be written: {named}{more}. Nothing was written.",
                "Move it away, or name another folder.",
            )
        for name in names:
            self.entries[name] = Entry("")
        self.program = program
        self.path.mkdir(parents=True, exist_ok=True)
        self._write_list()

    def _may_write(self, name: str) -> bool:
        file = self.path / name
        parents = [parent for parent in file.parents if parent.is_relative_to(self.path)]
        if any(each.is_symlink() or (each.exists() and not each.is_dir()) for each in parents[:-1]):
            return False
        if not file.exists() and not file.is_symlink():
            return True
        if file.is_symlink() or not file.is_file():
            return False
        entry = self.entries.get(name)
        return entry is not None and (entry.content is None or self._untouched(name, entry))

    def end(self, made: Mapping[str, tuple[str, str]]) -> None:
        """Note what was written: by name, what it was made from and the digest of its content."""
        for name, (made_from, content) in made.items():
            self.entries[name] = Entry(made_from, content)
        self._write_list()

    def drop(self, wanted: Iterable[str]) -> tuple[list[str], list[str]]:
        """Remove pages of ours that are no longer wanted.

        Returns
        -------
        removed, left : list of str
            What somebody changed is left where it is.
        """
        removed, left = [], []
        for name in sorted(set(self.entries) - set(wanted)):
            entry = self.entries.pop(name)
            file = self.path / name
            if not file.exists():
                continue
            if entry.content is not None and not self._untouched(name, entry):
                left.append(name)
                continue
            file.unlink()
            removed.append(name)
            for parent in file.relative_to(self.path).parents[:-1]:
                if not any((self.path / parent).iterdir()):
                    (self.path / parent).rmdir()
        self._write_list()
        return removed, left

    def _write_list(self) -> None:
        files = {name: [each.made_from, each.content] for name, each in self.entries.items()}
        whole = {"form": _FORM, "program": self.program, "files": dict(sorted(files.items()))}
        text = json.dumps(whole, indent=0, ensure_ascii=True)
        write_whole(self.path / LIST_NAME, text.encode())


def write_page(folder: Path, name: str, html: str) -> str:
    """Write a page into a folder, making the folders on its way; the digest of its content."""
    content = html.encode("utf-8", "replace")
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    write_whole(file, content)
    return _digest(content)


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()

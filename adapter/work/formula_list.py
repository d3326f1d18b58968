"""What can be opened: unsaved work, files that were named, the baker's own formulas, the samples."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from adapter.formula.plain_text import clean, shown

if TYPE_CHECKING:
    from adapter.work.drafts import Draft

UNSAVED, NAMED, OWN, SAMPLE = "unsaved work", "named files", "your own", "samples"
GLANCE_BYTES = 2000
_NAME = re.compile(r"^\s*name\s*=\s*([\"'])(.*)\1\s*(?:#.*)?$", re.MULTILINE)


class Entry(NamedTuple):
    """One thing in the list: a file or a sample (`place`), unsaved work of this run (`piece`) or of another."""

    group: str
    title: str
    detail: str = ""
    place: Path | None = None
    piece: str | None = None
    draft: Draft | None = None

    @property
    def path(self) -> Path | None:
        """The file of the entry, when it is a file of the baker's."""
        return self.place if self.group in (NAMED, OWN) and isinstance(self.place, Path) else None

    def found_by(self, words: str) -> bool:
        """Whether every word stands somewhere in what is shown of the entry."""
        text = f"{self.title} {self.detail} {self.group}".casefold()
        return all(word in text for word in words.casefold().split())


def title_at_a_glance(place: Path) -> str:
    """The name in a formula file without reading all of it; the file's name where none is found."""
    stem = shown(place.name.removesuffix(".toml").replace("_", " ").replace("-", " "))
    try:
        with place.open("rb") as source:
            text = source.read(GLANCE_BYTES).decode("utf-8", "replace")
    except (OSError, ValueError):
        return stem
    found = _NAME.search(text)
    return (clean(found[2]) if found else "") or stem


def file_entries(named: Sequence[Path]) -> list[Entry]:
    """Named files, own formulas and samples, in the order they are listed."""
    from adapter.files.places import own_formulas, samples

    entries = [named_entry(path) for path in named]
    entries += [Entry(OWN, title_at_a_glance(path), shown(path.name), path) for path in own_formulas()]
    opened = {entry.place for entry in entries}
    entries += [Entry(SAMPLE, title_at_a_glance(item), "", item) for item in samples() if item not in opened]
    return entries


def named_entry(path: Path) -> Entry:
    """The entry of what was named on the command line: a file, or a sample by its name."""
    from adapter.files.places import sample_named
    from adapter.files.toml.source import exists

    sample = None if exists(path) else sample_named(str(path))
    if sample is not None:
        return Entry(SAMPLE, title_at_a_glance(sample), "", sample)
    return Entry(NAMED, title_at_a_glance(path), shown(path.name), path)


def matching(entries: Iterable[Entry], words: str) -> list[Entry]:
    return [entry for entry in entries if entry.found_by(words)]


def in_sight(entries: Iterable[Entry], words: str) -> list[Entry]:
    """What a search leaves in the list: what it finds, and all unsaved work, which is never hidden."""
    return [entry for entry in entries if entry.group == UNSAVED or entry.found_by(words)]


def path_of_sample(name: str) -> Path:
    """Where the log of a sample would lie: by the sample's file name, among the baker's own formulas."""
    from adapter.files.places import own_formulas_path, samples
    from adapter.work.paths import file_name_for

    found = next((item.name for item in samples() if title_at_a_glance(item) == name), file_name_for(name))
    return own_formulas_path() / found

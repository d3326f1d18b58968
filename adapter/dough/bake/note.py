"""A sentence that a bake plan has to say, with what it is about: by that it is told where it belongs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

NoteKind = Literal["tin", "liquid", "never rises", "rises in the oven", "rise", "night", "stage", "log"]


@dataclass(frozen=True, slots=True)
class Note:
    """`kind` is what the text is about."""

    kind: NoteKind
    text: str

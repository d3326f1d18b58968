"""What a folder holds."""

from __future__ import annotations

from pathlib import Path


def names_in(folder: Path) -> list[str]:
    return sorted(item.name for item in folder.iterdir())

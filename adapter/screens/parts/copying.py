"""Copying by way of the terminal (OSC 52): it works over a remote line, and only where the terminal allows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.app import App

LARGEST_BYTES = 70_000
"""Written as base64 this is what most terminals still take."""
WITHOUT_TERMINALS = ("dumb", "linux", "vt100", "vt220", "ansi", "unknown")
WITHOUT_PROGRAMS = ("Apple_Terminal",)


def refusal(text: str, environment: Mapping[str, str]) -> str:
    """Why a text cannot be copied; empty where nothing is known to be against it."""
    if not text.strip():
        return "there is nothing to copy"
    if len(text.encode("utf-8")) > LARGEST_BYTES:
        return "too long to copy: e writes it into a file"
    terminal = environment.get("TERM", "") or "unknown"
    if terminal in WITHOUT_TERMINALS or environment.get("TERM_PROGRAM", "") in WITHOUT_PROGRAMS:
        return "this terminal does not let a program copy: e writes a file"
    return ""


def copy(app: App[None], text: str, environment: Mapping[str, str]) -> tuple[str, bool]:
    """Copy a text; what to say of it, and whether that is a fault."""
    why_not = refusal(text, environment)
    if why_not:
        return why_not, True
    app.copy_to_clipboard(text)
    count = len(text.splitlines())
    lines = f"{count} lines" if count != 1 else "1 line"
    return f"{lines} handed to the terminal to copy; if pasting brings something else, it forbids that (OSC 52)", False

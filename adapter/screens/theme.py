"""Two rooms, dark and light: rye-crust browns, flour white, and the amber of a baked crust as the one accent."""

from __future__ import annotations

from textual.theme import Theme

DARK = "crust"
LIGHT = "flour"


def _variables(
    bar: str, bar_text: str, faint: str, line: str, cursor: str, cursor_text: str, accent: str, track: str
) -> dict[str, str]:
    return {
        "bar": bar,
        "bar-text": bar_text,
        "faint": faint,
        "line": line,
        "cursor": cursor,
        "cursor-text": cursor_text,
        "track": track,
        "footer-key-foreground": accent,
        "block-cursor-background": cursor,
        "block-cursor-foreground": cursor_text,
        "block-cursor-text-style": "bold",
        "input-cursor-background": accent,
        "input-selection-background": f"{accent} 35%",
        "border": accent,
        "border-blurred": line,
        "scrollbar": line,
        "scrollbar-background": bar,
        "scrollbar-hover": accent,
        "scrollbar-active": accent,
    }


THEMES = (
    Theme(
        name=DARK,
        dark=True,
        primary="#e0a458",
        secondary="#b08968",
        accent="#f0a83c",
        warning="#f0a83c",
        error="#f28c6a",
        success="#c9b458",
        foreground="#f4ead9",
        background="#1d1511",
        surface="#261b15",
        panel="#33251c",
        variables=_variables("#3d2b1f", "#f4ead9", "#b09c86", "#5a4333", "#5d4029", "#fff8ea", "#f0a83c", "#8d745d"),
    ),
    Theme(
        name=LIGHT,
        dark=False,
        primary="#7a4419",
        secondary="#8c6a4a",
        accent="#a14e00",
        warning="#a14e00",
        error="#9c2f10",
        success="#5c5a12",
        foreground="#2e1f14",
        background="#fbf6ec",
        surface="#f5ecdc",
        panel="#ebdfca",
        variables=_variables("#e6d6bd", "#2e1f14", "#6f5b48", "#c8b08f", "#dcbf95", "#1f130a", "#a14e00", "#917a60"),
    ),
)

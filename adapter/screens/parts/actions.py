"""The one table of what can be done by key: it feeds the bindings, the footer, the palette and the help."""

from __future__ import annotations

from collections.abc import Iterator

from adapter.screens.parts.action import Action
from adapter.screens.parts.registry import BEYOND_BENCH, EVERYWHERE

_BENCH = ("bench",)
_FORMULAS = ("formulas",)
_COMPARE = ("compare",)
_PANTRY = ("pantry",)
_BAKE = ("bake",)
_EXPORT = ("export",)

ACTIONS: tuple[Action, ...] = (
    # ------------------------------------------------------------------ formulas
    Action("open", "enter", "open", "Open the highlighted formula on the bench.", _FORMULAS, 1),
    Action(
        "clear",
        "escape",
        "clear, leave",
        "Clear the filter; with no filter, leave the program (it asks first).",
        _FORMULAS,
        3,
    ),
    Action(
        "throw_away",
        "delete",
        "throw away",
        "Throw away the highlighted unsaved work (it asks first).",
        _FORMULAS,
        4,
    ),
    Action("pantry", "f2", "pantry", "What is in stock.", _FORMULAS, 5),
    Action("new", "f4", "new", "Write a new formula: it begins as a plain dough.", _FORMULAS, 2),
    # ------------------------------------------------------------------ bench
    Action(
        "take",
        "enter",
        "swaps",
        "In the formula: go to the swaps for the highlighted line.",
        _BENCH,
        1,
        part="formula",
        palette=False,
    ),
    Action("take", "enter", "why", "In the levels: say why.", _BENCH, 1, part="levels", palette=False),
    Action("take", "enter", "take it", "In the swaps: take the highlighted one.", _BENCH, 1, part="swaps"),
    Action("more_share", "right", "share", "Swap 5 % more of the line.", _BENCH, 1, part="swaps", shown="←→"),
    Action("in_stock", "i", "in stock", "Only the swaps that the pantry has everything for; again: all.", _BENCH, 22),
    Action("less_share", "left", "share", "Swap 5 % less of the line.", _BENCH, part="swaps"),
    Action(
        "grams",
        "g",
        "grams",
        "Type a weight over for the highlighted line, or for what a swap brings in; any digit does the same.",
        _BENCH,
        3,
    ),
    Action("next_part", "tab", "next part", "Go to the next part: formula, levels, swaps.", _BENCH, 3, palette=False),
    Action("previous_part", "shift+tab", "part before", "Go to the part before.", _BENCH, palette=False),
    Action(
        "hold",
        "h",
        "hold",
        "Hold the highlighted line or level, so that no swap moves it; again lets it go.",
        _BENCH,
        4,
    ),
    Action(
        "make_do",
        "m",
        "make do",
        "Bake it from what the pantry holds: the best set of swaps, shown before it is taken.",
        _BENCH,
        19,
    ),
    Action("why", "w", "why", "How the highlighted number was worked out, and how sure it is.", _BENCH, 5),
    Action("undo", "u", "undo", "One step back, as far as the book formula.", _BENCH, 6),
    Action(
        "begin_here",
        "f",
        "from here",
        "Take what is shown as the book formula: levels and steps count from here.",
        _BENCH,
    ),
    Action("redo", "r", "redo", "One step forward again.", _BENCH, 7),
    Action("save", "s", "save", "Write the shown variant into a formula file.", _BENCH, 8),
    Action("new_variant", "v", "variant", "Start a further variant from what is shown.", _BENCH, 9),
    Action("compare", "c", "compare", "The variants side by side.", _BENCH, 10),
    Action("variant_after", "right_square_bracket", "other variant", "Show the next variant.", _BENCH, 17, shown="[ ]"),
    Action("variant_before", "left_square_bracket", "variant before", "Show the variant before.", _BENCH),
    Action("add_line", "a", "add", "Put a line in after the highlighted one.", _BENCH, 11, part="formula"),
    Action("strike", "x", "strike", "Strike the highlighted line out.", _BENCH, 12, part="formula"),
    Action("bake", "b", "bake", "Dough temperature, tin, proof, oven and clock times.", _BENCH, 13),
    Action("export", "e", "export", "Write a card, a table or readings.", _BENCH, 14),
    Action("pantry", "p", "pantry", "What is in stock.", _BENCH, 15),
    Action("rename", "n", "name", "Give the shown variant a name.", _BENCH, 16),
    Action("drop_variant", "d", "drop variant", "Drop the shown variant (it asks first).", _BENCH),
    Action(
        "throw_away",
        "t",
        "throw away",
        "Throw away what is not saved and go back to the file (it asks first).",
        _BENCH,
    ),
    # ------------------------------------------------------------------ compare
    Action("column_left", "left", "column", "The column before.", _COMPARE, 2, palette=False),
    Action("column_right", "right", "next column", "The next column.", _COMPARE, palette=False),
    Action("keep", "k", "keep", "Go on with the highlighted variant on the bench.", _COMPARE, 3),
    Action("columns", "c", "columns", "Choose what is compared: two to four at a time.", _COMPARE, 4),
    Action("make_first", "f", "make first", "Set all changes against the highlighted column.", _COMPARE, 5),
    Action("fetch", "o", "other formula", "Fetch a further formula beside the variants.", _COMPARE, 6),
    Action("differences", "d", "differences", "Show only the rows that differ; again shows all.", _COMPARE, 7),
    Action("why", "w,enter", "why", "How the highlighted number was worked out.", _COMPARE, 8),
    Action("export_table", "e", "export table", "Write the comparison into a file.", _COMPARE, 3),
    # ------------------------------------------------------------------ pantry
    Action("edit", "enter", "edit", "Type over the highlighted cell; any digit does the same.", _PANTRY, 2),
    Action("column_left", "left", "cell before", "The cell before.", _PANTRY, palette=False),
    Action(
        "column_right", "right", "next cell", "The next cell; from the last one, the figures.", _PANTRY, palette=False
    ),
    Action("add_stock", "a", "add", "Put an ingredient into the pantry.", _PANTRY, 3),
    Action(
        "strike_stock", "x", "strike", "Take the highlighted entry out; in the figures, the own figure.", _PANTRY, 4
    ),
    Action("figures", "f", "figures", "Figures off the packet, or measured, for the highlighted entry.", _PANTRY, 5),
    Action("find", "slash", "find", "Go to an entry by roughly its name.", _PANTRY, 6),
    Action("undo", "u", "undo", "Take the last change back.", _PANTRY, 7),
    Action("save", "s", "save", "Every change is written at once; where that failed, this tries again.", _PANTRY),
    Action("read_again", "r", "read again", "Take the pantry file as it is now.", _PANTRY),
    Action("start_empty", "n", "begin empty", "Begin a pantry with nothing in it (it asks first).", _PANTRY),
    # ------------------------------------------------------------------ bake
    Action(
        "change",
        "enter",
        "change",
        "Type over the highlighted input; Enter takes it, Esc leaves it. On a number: why.",
        _BAKE,
        1,
        part="inputs",
        palette=False,
    ),
    Action("change", "enter", "why", "How the highlighted number was worked out.", _BAKE, 1, "numbers", palette=False),
    Action(
        "next_part", "tab", "next part", "Go to the next part: inputs, numbers, curves, clock …", _BAKE, 2, "", False
    ),
    Action("previous_part", "shift+tab", "part before", "Go to the part before.", _BAKE, palette=False),
    Action("why", "w", "why", "How the highlighted number was worked out, and how sure it is.", _BAKE, 3),
    Action("log", "l", "log a bake", "Write down what was measured; the kitchen learns from it.", _BAKE, 4),
    Action("fit_tin", "t", "fit the tin", "Scale the formula to its tin, as a step of the variant.", _BAKE, 5),
    Action("undo", "u", "undo", "One step back, as far as the book formula.", _BAKE, 6),
    Action("redo", "r", "redo", "One step forward again.", _BAKE),
    Action("start", "s", "start at", "Set when the work begins.", _BAKE, 7),
    Action("ready", "d", "sliced by", "Set when it is to be sliced; the clock goes back from there.", _BAKE, 8),
    Action("yeast", "y", "yeast", "Set the yeast for a time in which it is to rise, as a step.", _BAKE, 9),
    Action("pieces", "p", "pieces", "Scale to a number of pieces of the same weight, as a step.", _BAKE, 10),
    Action("grams", "g", "grams", "Scale to grams of dough in all, as a step.", _BAKE, 11),
    Action("mixed", "m", "hand, machine", "Mixed by hand or by machine.", _BAKE, 12),
    # ------------------------------------------------------------------ export
    Action(
        "write", "s,enter", "write", "Write the file that is shown; it asks before one is written over.", _EXPORT, 2
    ),
    Action("path", "p", "where", "Type another folder or name for the file.", _EXPORT, 3),
    Action("mark", "space", "mark", "Leave a sentence out of the card, or take it in.", _EXPORT, 4, part="sentences"),
    # ------------------------------------------------------------------ everywhere
    Action("back", "q", "back", "Back to the formulas; unsaved work is kept.", _BENCH, 90),
    Action("step_back", "escape", "step back", "From the swaps or the levels to the formula; from there back.", _BENCH),
    Action("back", "q,escape", "back", "Back to the screen before; unsaved work is kept.", BEYOND_BENCH, 90),
    Action("palette", "ctrl+p,colon", "commands", "Every command by its name.", EVERYWHERE, 95, palette=False),
    Action("help", "question_mark,f1", "help", "The keys of this screen.", EVERYWHERE, 99),
    Action("room", "f3", "dark or light", "Colours for a dark or a light room.", EVERYWHERE),
    Action("leave", "ctrl+q", "leave", "Leave the program; unsaved work is there at the next start.", EVERYWHERE),
)
"""A row needs a method action_<name> on its screen or on one of the screen's parts; the name of a screen goes there."""


def actions_of(screen: str) -> Iterator[Action]:
    """The actions of a screen, in table order."""
    return (action for action in ACTIONS if screen in action.screens)


def footer_of(screen: str, part: str = "") -> list[Action]:
    """The actions that a screen's footer shows while the keys are with one of its parts, in their order."""
    shown = [action for action in actions_of(screen) if action.footer and action.part in ("", part)]
    return sorted(shown, key=lambda action: action.footer)


def commands_of(screen: str) -> Iterator[Action]:
    """The actions that the palette lists."""
    return (action for action in actions_of(screen) if action.palette)

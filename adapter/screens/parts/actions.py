"""The one table of what can be done by key: it feeds the bindings, the footer, the palette and the help.

A key means one thing wherever it is: `a` adds, `x` strikes, `s` saves, `w` says why. A test holds it.
"""

from __future__ import annotations

from collections.abc import Iterator

from adapter.screens.parts.action import Action, Task
from adapter.screens.parts.registry import BEYOND_BENCH, BY_LETTER, EVERYWHERE, TYPED_INTO

_FORMULAS = ("formulas",)
_REVIEW = ("review",)
_BENCH = ("bench",)
_ASK = ("ask",)
_BAKES = ("bakes",)
_COMPARE = ("compare",)
_PANTRY = ("pantry",)
_BAKE = ("bake",)
_EXPORT = ("export",)

_AMOUNTS = "Amounts in grams, in ounces, in cups and spoons. What is stored is grams."
_DEGREES = "Temperatures in °C, in °F. What is stored is °C."

_CHOOSE, _CHANGE, _SWAP, _LOOK, _VARIANTS, _KEEP, _GO, _PROGRAM = Task

ACTIONS: tuple[Action, ...] = (
    # ------------------------------------------------------------------ formulas
    Action("open", "enter", "open", "Open the highlighted formula on the bench.", _FORMULAS, _CHOOSE, 1),
    Action("new", "f4", "new", "Write a new formula.", _FORMULAS, _CHOOSE, 2),
    Action("clear", "escape", "clear, leave", "Clear the filter; without one, leave.", _FORMULAS, _CHOOSE, 4),
    Action(
        "how_many",
        "plus",
        "bake so many",
        "So many of it, in a plan of several bakes.",
        _FORMULAS,
        _CHOOSE,
        7,
    ),
    Action("bakes", "equals_sign", "plan bakes", "Plan the several bakes, with a shopping list.", _FORMULAS, _GO, 8),
    Action("drop", "delete", "drop", "Drop the highlighted unsaved work (it asks first).", _FORMULAS, _KEEP, 5),
    Action("pantry", "f2", "pantry", "What is in stock.", _FORMULAS, _GO, 6),
    Action("read", "f5", "read a recipe", "Read a recipe, pasted, typed or from a file.", _FORMULAS, _CHOOSE, 3),
    # ------------------------------------------------------------------ review
    Action(
        "accept", "enter", "accept", "Accept the line; when none is in doubt, open the formula.", _REVIEW, _CHANGE, 1
    ),
    Action("drop", "delete", "drop, keep", "Drop the line into the note, or keep it again.", _REVIEW, _CHANGE, 2),
    Action(
        "put_on_bench", "f6", "to the bench", "Open the formula, with what is in doubt as it was read.", _REVIEW, _GO, 3
    ),
    Action("copy", "", "copy", "Copy the recipe as it was understood, through the terminal.", _REVIEW, _KEEP),
    Action("back", "escape", "back", "Back to the formulas; the recipe is left.", _REVIEW, _GO, 90),
    # ------------------------------------------------------------------ bench
    Action(
        "take", "enter", "swaps", "In the formula: go to the swaps for its line.", _BENCH, _SWAP, 1, "formula", False
    ),
    Action("take", "enter", "why", "In the levels: say why.", _BENCH, _LOOK, 1, "levels", False),
    Action("take", "enter", "take it", "In the swaps: take the highlighted one.", _BENCH, _SWAP, 1, "swaps"),
    Action("more_share", "right", "share", "Swap 5 % more of the line.", _BENCH, _SWAP, 1, "swaps", shown="←→"),
    Action("less_share", "left", "share", "Swap 5 % less of the line.", _BENCH, _SWAP, part="swaps"),
    Action(
        "in_stock", "i", "in stock", "Only the swaps that the pantry has everything for; again: all.", _BENCH, _SWAP, 22
    ),
    Action("find", "slash", "find", "Only the swaps that have a word you type.", _BENCH, _SWAP, 20, "swaps"),
    Action(
        "next_order",
        "greater_than_sign",
        "sort",
        "Sort the swaps: as a baker reaches for them, by drift, by price, by what is in store.",
        _BENCH,
        _SWAP,
        21,
        "swaps",
        shown="< >",
    ),
    Action("order_before", "less_than_sign", "sort back", "Sort the swaps by the key before.", _BENCH, _SWAP),
    Action("mark", "space", "mark", "Mark lines that are to go out together.", _BENCH, _SWAP, 20, "formula"),
    Action("own_swap", "j", "own swap", "Swap the line, or all that are marked, for what you name.", _BENCH, _SWAP, 21),
    Action(
        "ask", "m", "make do, ask", "Ask for a loaf: from the store, without this, more of that.", _BENCH, _SWAP, 19
    ),
    Action(
        "grams",
        "g",
        "grams",
        "Type a weight for the highlighted line, or for what a swap brings in; any digit does the same.",
        _BENCH,
        _CHANGE,
        3,
    ),
    Action("add", "a", "add", "Put a line in after the highlighted one.", _BENCH, _CHANGE, 11, "formula"),
    Action("strike", "x", "strike", "Strike the highlighted line out.", _BENCH, _CHANGE, 12, "formula"),
    Action(
        "line_form", "f7", "its stage, note", "Stage, note, temperature of the line.", _BENCH, _CHANGE, 20, "formula"
    ),
    Action(
        "formula_form", "f8", "tin, oven, steps", "Pieces, tin, proof, oven, steps and stages.", _BENCH, _CHANGE, 21
    ),
    Action("line_up", "shift+up", "line up", "Move the line up, into the stage before as well.", _BENCH, _CHANGE),
    Action("line_down", "shift+down", "line down", "Move the line down, into the next stage as well.", _BENCH, _CHANGE),
    Action(
        "hold", "h", "hold", "Hold the highlighted line or level against every swap; again frees it.", _BENCH, _SWAP, 4
    ),
    Action("rename", "n", "name", "Give the shown variant a name.", _BENCH, _CHANGE, 16),
    Action("new_variant", "v", "variant", "Start a further variant from what is shown.", _BENCH, _VARIANTS, 9),
    Action(
        "variant_after",
        "right_square_bracket",
        "other variant",
        "Show the next variant.",
        _BENCH,
        _VARIANTS,
        17,
        shown="[ ]",
    ),
    Action("variant_before", "left_square_bracket", "variant before", "Show the variant before.", _BENCH, _VARIANTS),
    Action("drop", "delete", "drop variant", "Drop the shown variant (it asks first).", _BENCH, _VARIANTS),
    Action("steps", "U", "steps", "What was done since the book; any of it can be taken back.", _BENCH, _VARIANTS, 18),
    Action("from_here", "f", "from here", "Changes and steps count from what is shown.", _BENCH, _VARIANTS),
    Action("throw_away", "t", "throw away", "Throw away what is not saved, back to the file (it asks).", _BENCH, _KEEP),
    Action("export", "e", "export", "Write a card, a table or readings.", _BENCH, _KEEP, 14),
    Action("compare", "c", "compare", "The variants side by side.", _BENCH, _GO, 10),
    Action("bake", "b", "bake", "Dough temperature, tin, proof, oven and clock times.", _BENCH, _GO, 13),
    Action("pantry", "p,f2", "pantry", "What is in stock.", _BENCH, _GO, 15),
    # ------------------------------------------------------------------ ask
    Action("take", "enter", "make a variant", "Make a variant of the way.", _ASK, _VARIANTS, 1, "ways"),
    Action("take", "enter", "change", "Change the highlighted wish.", _ASK, _CHANGE, 1, "wishes", False),
    Action(
        "take", "enter", "aim", "Type what the reading is to be; a digit does the same.", _ASK, _CHANGE, 1, "levels"
    ),
    Action("mark", "space", "refuse, pin", "Refuse a swap; again: it must be; again: free.", _ASK, _SWAP, 2, "ways"),
    Action(
        "mark", "space", "tick", "Take the store or not; a refused swap must be.", _ASK, _CHANGE, 2, "wishes", False
    ),
    Action("nudge_up", "right", "aim", "Aim higher, by what a baker notices.", _ASK, _CHANGE, 2, "levels", shown="←→"),
    Action("nudge_down", "left", "aim lower", "Aim lower, by what a baker notices.", _ASK, _CHANGE),
    Action("next_part", "tab", "next part", "Ways, levels, wishes.", _ASK, _CHOOSE, 3, "", False),
    Action("previous_part", "shift+tab", "part before", "The part before.", _ASK, _CHOOSE, palette=False),
    Action("add", "a", "wish", "Without milk, salt=1.6, sweetness=-30% …", _ASK, _CHANGE, 4),
    Action("strike", "x", "strike", "Strike the highlighted wish out.", _ASK, _CHANGE, 5, "wishes"),
    Action("hold", "h", "hold", "Hold the highlighted level; again frees it.", _ASK, _CHANGE, 5, "levels"),
    Action("new_variant", "v", "variants of all", "Make a variant of each way.", _ASK, _VARIANTS, 6),
    Action("differences", "d", "differences", "Only levels that clearly change; again: all.", _ASK, _LOOK, 7),
    Action("why", "w", "in full", "The ways in full; on a level how it was worked out.", _ASK, _LOOK, 8),
    Action("pantry", "p,f2", "pantry", "What is in stock.", _ASK, _GO, 9),
    # ------------------------------------------------------------------ several bakes
    Action(
        "take",
        "enter",
        "how many",
        "Type how many; a digit does the same.",
        _BAKES,
        _CHANGE,
        1,
        "bakes",
    ),
    Action("take", "enter", "to the bench", "Its swaps as a variant on the bench.", _BAKES, _GO, 1, "plan"),
    Action("nudge_up", "right", "one more", "One more of the formula.", _BAKES, _CHANGE, 2, "bakes", shown="←→"),
    Action("nudge_down", "left", "one fewer", "One fewer of the formula.", _BAKES, _CHANGE),
    Action("next_part", "tab", "next part", "What is baked, the plan.", _BAKES, _CHOOSE, 3, "", False),
    Action("add", "a", "add a wish", "Without milk, salt=1.6, by 2031-06-16 …", _BAKES, _CHANGE, 4),
    Action("strike", "x", "strike", "Strike the highlighted formula or wish out.", _BAKES, _CHANGE, 5, "bakes"),
    Action("pantry", "p,f2", "pantry", "What is in stock.", _BAKES, _GO, 9),
    # ------------------------------------------------------------------ compare
    Action("column_left", "left", "column", "The column before.", _COMPARE, _CHOOSE, 2, palette=False, shown="←→"),
    Action("column_right", "right", "next column", "The next column.", _COMPARE, _CHOOSE, palette=False),
    Action("next_part", "tab", "levels, table", "From the table to the levels, and back.", _COMPARE, _LOOK, 1),
    Action("keep", "k", "keep", "Go on with the highlighted variant on the bench.", _COMPARE, _VARIANTS, 3),
    Action("compare", "c", "columns", "Choose what is compared: two to four at a time.", _COMPARE, _CHOOSE, 4),
    Action("from_here", "f", "from here", "All changes count from the highlighted column.", _COMPARE, _CHOOSE, 5),
    Action("fetch", "o", "other formula", "Fetch a further formula beside the variants.", _COMPARE, _CHOOSE, 6),
    Action("differences", "d", "differences", "Only rows that clearly differ; again: all.", _COMPARE, _LOOK, 7),
    Action("export", "e", "export", "Write the comparison into a file.", _COMPARE, _KEEP, 3),
    # ------------------------------------------------------------------ pantry
    Action("edit", "enter", "edit", "Type over the highlighted cell; any digit does the same.", _PANTRY, _CHANGE, 2),
    Action("column_left", "left", "cell before", "The cell before.", _PANTRY, _CHOOSE, palette=False),
    Action("column_right", "right", "next cell", "The next cell; then the figures.", _PANTRY, _CHOOSE, palette=False),
    Action("add", "a", "add", "Put an ingredient into the pantry.", _PANTRY, _CHANGE, 3),
    Action("strike", "x", "strike", "Take the highlighted entry, or own figure, out.", _PANTRY, _CHANGE, 4),
    Action(
        "next_part", "tab", "figures", "Figures off the packet, or measured; again: the stock.", _PANTRY, _CHANGE, 5
    ),
    Action("find", "slash", "find", "Go to an entry by roughly its name.", _PANTRY, _CHOOSE, 6),
    Action("fetch", "o", "read again", "Take the pantry file as it is now.", _PANTRY, _KEEP),
    Action("throw_away", "t", "begin empty", "Throw all entries away (it asks first).", _PANTRY, _CHANGE),
    # ------------------------------------------------------------------ bake
    Action(
        "change",
        "enter",
        "change",
        "Type over the highlighted input; Enter takes it, Esc leaves it.",
        _BAKE,
        _CHANGE,
        1,
        "inputs",
        False,
    ),
    Action("change", "enter", "why", "On a number: how it was worked out.", _BAKE, _LOOK, 1, "numbers", False),
    Action("log", "l", "log a bake", "Write down what was measured; the kitchen learns from it.", _BAKE, _KEEP, 4),
    Action("keep", "k", "keep the day", "The day's hours, proof and oven into the formula.", _BAKE, _KEEP, 6),
    Action("grams", "g", "grams", "Scale to grams of dough in all, as a step.", _BAKE, _CHANGE, 5),
    Action("fit_tin", "z", "fit the tin", "Scale the formula to its tin, as a step of the variant.", _BAKE, _CHANGE, 7),
    Action("start", "", "start at", "Set when the work begins.", _BAKE, _CHANGE),
    Action("ready", "", "sliced by", "Set when it is to be sliced; the clock goes back from there.", _BAKE, _CHANGE),
    Action("yeast", "", "yeast", "Set the yeast for a time in which it is to rise, as a step.", _BAKE, _CHANGE),
    Action("pieces", "", "pieces", "Scale to a number of pieces of the same weight, as a step.", _BAKE, _CHANGE),
    Action("cold_night", "", "night in the fridge", "The dough over a night in the fridge, or not.", _BAKE, _CHANGE),
    Action("off_night", "", "off the night", "Move the plan to where nobody has to work at night.", _BAKE, _CHANGE),
    Action("mixed", "", "hand, machine", "Mixed by hand or by machine.", _BAKE, _CHANGE),
    # ------------------------------------------------------------------ export
    Action("next_part", "tab", "next part", "Forms, sentences, the file's text.", _EXPORT, _CHOOSE, 1, "", False),
    Action("write", "enter", "write", "Write the file that is shown; it asks before writing over.", _EXPORT, _KEEP, 2),
    Action("save", "s", "write", "The same.", _EXPORT, _KEEP, palette=False),
    Action("rename", "n", "where", "Type another folder or name for the file.", _EXPORT, _KEEP, 3),
    Action(
        "mark", "space", "mark", "Leave a sentence out of the card, or take it in.", _EXPORT, _CHANGE, 4, "sentences"
    ),
    # ------------------------------------------------------------------ several screens
    Action("next_part", "tab", "next part", "The next part of the screen.", ("bench", "bake"), _CHOOSE, 3, "", False),
    Action("previous_part", "shift+tab", "part before", "The part before.", ("bench", "bake"), _CHOOSE, palette=False),
    Action(
        "why", "w", "why", "How the highlighted number was worked out, and how sure it is.", ("bench", "bake"), _LOOK, 5
    ),
    Action("why", "w,enter", "why", "How the highlighted number was worked out.", _COMPARE, _LOOK, 8),
    Action("undo", "u", "undo", "One step back.", ("bench", "pantry", "bake"), _VARIANTS, 6),
    Action("redo", "r", "redo", "One step forward again.", ("bench", "bake"), _VARIANTS, 7),
    Action("save", "s", "save", "Write the shown variant into a formula file.", _BENCH, _KEEP, 8),
    Action("save", "s", "save", "All is written at once; where that failed, this tries again.", _PANTRY, _KEEP),
    Action("copy", "y", "copy", "Copy what is shown, as a text, through the terminal.", BY_LETTER, _KEEP, 18),
    Action("back", "q", "back", "Back to the formulas; unsaved work is kept.", _BENCH, _GO, 90),
    Action("step_back", "escape", "step back", "From swaps or levels to the formula; from there back.", _BENCH, _GO),
    Action("back", "q,escape", "back", "Back to the screen before; unsaved work is kept.", BEYOND_BENCH, _GO, 90),
    Action(
        "palette",
        "ctrl+p,colon",
        "commands",
        "Commands, formulas, ingredients and readings by name.",
        EVERYWHERE,
        _PROGRAM,
        95,
        palette=False,
    ),
    Action("help", "question_mark,f1", "help", "The keys of this screen.", EVERYWHERE, _PROGRAM, 99),
    Action("amounts", "f9", "grams, ounces, cups", _AMOUNTS, TYPED_INTO, _PROGRAM),
    Action("amounts", "f9,G", "grams, ounces, cups", _AMOUNTS, BY_LETTER, _PROGRAM),
    Action("degrees", "f12", "Celsius, Fahrenheit", _DEGREES, TYPED_INTO, _PROGRAM),
    Action("degrees", "f12,C", "Celsius, Fahrenheit", _DEGREES, BY_LETTER, _PROGRAM),
    Action("room", "f3", "dark or light", "Colours for a dark or a light room.", EVERYWHERE, _PROGRAM),
    Action("leave", "ctrl+q", "leave", "Leave; unsaved work is there at the next start.", EVERYWHERE, _PROGRAM),
)
"""A row needs a method action_<name> on its screen or on one of the screen's parts; the name of a screen goes there."""


def actions_of(screen: str) -> Iterator[Action]:
    """The actions of a screen, in table order."""
    return (action for action in ACTIONS if screen in action.screens)


def footer_of(screen: str, part: str = "") -> list[Action]:
    """The actions that a screen's footer shows while the keys are with one of its parts, in their order."""
    here = [action for action in actions_of(screen) if action.footer and action.part in ("", part)]
    return sorted(here, key=lambda action: action.footer)


def commands_of(screen: str) -> Iterator[Action]:
    """The actions that the palette lists."""
    return (action for action in actions_of(screen) if action.palette)

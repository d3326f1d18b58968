"""What was found for wishes, as plain data and as text: ways, what they lack and miss, and what stands in the way."""

from __future__ import annotations

from collections.abc import Sequence

from adapter.dough.allergens import allergens
from adapter.dough.readings.differences import difference
from adapter.dough.readings.registry import READING_KEYS, change_unit, label, rounded
from adapter.formula.model import Amount
from adapter.swaps.adapt import NO_CHANGE, NO_OTHER, NO_TIME, TOO_FAR, Answer, Fewer
from adapter.swaps.bakes import Bakes
from adapter.swaps.way import Way
from adapter.words.report_data import AdaptData, BakesData, Contradiction, HowSure, MissedData, MovedData, WayData
from adapter.words.reports import amounts_data, change_data, finite, lines_data, moved_data, number, readings_data
from adapter.words.text_report import (
    LEFT_OUT,
    allergen_lines,
    amounts_text,
    change_text,
    clear_text,
    figure_text,
    lines_text,
)
from adapter.words.units import METRIC, Units

EXACTLY = 1e-6
"""A gap that is none."""

PACKETS = "The packets' labels come first: only they tell what a thing may contain."


def way_report(way: Way) -> WayData:
    """One way: its swaps as offers are told, the final formula, what it lacks and misses, and how sure it is best."""
    lines = way.before.formula.lines
    return {
        "swaps": [
            {
                "name": swap.candidate.name,
                "rule": swap.candidate.rule.id,
                "say": swap.candidate.rule.say,
                "out": [
                    {"ingredient": lines[place].ingredient, "grams": finite(lines[place].grams * swap.share)}
                    for place in swap.candidate.places
                ],
                "into": amounts_data(swap.into),
                "share_percent": finite(100.0 * swap.share),
                "notice": swap.candidate.rule.notice,
                "why": list(why),
            }
            for swap, why in zip(way.swaps, way.reasons, strict=True)
        ],
        "moved": moved_data(way.moved),
        "lines": lines_data(way.after),
        "readings": readings_data(way.after),
        "changes": {key: change_data(difference(way.before, way.after, key)) for key in READING_KEYS},
        "allergens": list(allergens(way.after)),
        "allergens_added": list(way.allergens_added),
        "allergens_removed": list(way.allergens_removed),
        "drift": number(way.drift),
        "traded": [{"reading": key, "change": number(change)} for key, change in way.traded],
        "price": None if way.price is None else number(way.price),
        "short": amounts_data(way.short),
        "missed": [
            {"wish": miss.wish, "nearest": None if miss.nearest is None else number(miss.nearest)}
            for miss in way.missed
        ],
        "proven": way.proven,
        "gap": number(way.gap),
    }


def adapt_report(answer: Answer) -> AdaptData:
    """Every way, what still carries what is ruled out (nothing), and the wishes that contradict each other."""
    return {
        "ways": [way_report(way) for way in answer.ways],
        "without": list(answer.wishes.without),
        "conflict": list(answer.conflict),
        "nothing_stands_in_for": list(answer.stuck),
        "fewer": _fewer(answer.fewer, any(way.swaps for way in answer.ways)),
    }


def _fewer(fewer: Fewer | None, with_swaps: bool) -> str | None:
    """Why there are fewer ways than were asked for."""
    if fewer is None:
        return None
    if fewer.why == TOO_FAR and fewer.drift is not None:
        return f"No further way comes near: the next with another kind of thing would drift {fewer.drift:.1f}."
    return {
        NO_CHANGE: "There is one way: nothing has to change.",
        NO_OTHER: "No further way: nothing else within the rules answers this with another kind of thing."
        + (" Refuse a swap to see the next of its kind." if with_swaps else ""),
        TOO_FAR: "No further way: the next with another kind of thing would miss or lack more.",
        NO_TIME: "The time ran out before a further way was found.",
    }[fewer.why]


def bakes_report(bakes: Bakes, without: Sequence[str] = ()) -> BakesData:
    """Several bakes from one store: each as a way, and what to buy; `without` are the words that were ruled out."""
    return {
        "bakes": [
            {"formula": way.before.formula.name, "count": count, **way_report(way)}
            for way, count in zip(bakes.ways, bakes.counts, strict=False)
        ],
        "without": list(without),
        "buy": amounts_data(bakes.buy),
        "nothing_stands_in_for": list(bakes.stuck),
        "conflict": list(bakes.conflict),
        "proven": bakes.proven,
        "gap": number(bakes.gap),
    }


def adapt_text(data: AdaptData, units: Units = METRIC) -> str:
    """Ways for people: swaps with why, what changes, what is missed, and the new lines."""
    shown: list[str] = []
    for place, way in enumerate(data["ways"], start=1):
        head = [f"way {place} of {len(data['ways'])}"] if len(data["ways"]) > 1 else []
        shown += [
            *head,
            *way_lines(way, units=units),
            *without_lines(data["without"]),
            "",
            *lines_text(way["lines"], units.amount),
            "",
        ]
    shown += [*conflict_lines(data), *([data["fewer"]] if data["fewer"] else [])]
    if "saved" in data:
        shown += [f"{data['saved']} written"]
    return "\n".join(shown).rstrip("\n")


def bakes_text(data: BakesData, units: Units = METRIC) -> str:
    shown: list[str] = []
    for bake in data["bakes"]:
        shown += [
            f"{bake['count']} × {bake['formula']}",
            *(f"  {line}" for line in way_lines(bake, whole=False, units=units)),
        ]
    shown += [*without_lines(data["without"] if data["bakes"] else ()), ""]
    if not data["bakes"]:
        return "\n".join(conflict_lines(data))
    if data["buy"]:
        shown.append(f"To buy: {amounts_text(data['buy'], units.amount, ', ')}.")
    else:
        shown.append("Nothing has to be bought.")
    shown += [*conflict_lines(data), _sure(data), *(f"{name} written" for name in data.get("saved", ()))]
    return "\n".join(shown)


def without_lines(words: Sequence[str]) -> list[str]:
    return [f"Nothing in it carries {', '.join(words)}, by the tables. {PACKETS}"] if words else []


def conflict_lines(data: Contradiction) -> list[str]:
    """Which wishes cannot all be met, and what nothing stands in for."""
    shown = []
    stuck = data.get("nothing_stands_in_for", [])
    if stuck:
        shown.append(f"There is no way: by the rules nothing stands in for {', '.join(stuck)}.")
    if len(data["conflict"]) == 1:
        shown.append(f"This cannot be had: {data['conflict'][0]}.")
    elif data["conflict"]:
        shown.append(f"These cannot all be had together: {'; '.join(data['conflict'])}.")
    return shown


def way_lines(data: WayData, whole: bool = True, units: Units = METRIC) -> list[str]:
    """Each swap of a way in a line with why, what changes clearly, allergens, what is missed and what is short."""
    lines = []
    for swap in data["swaps"]:
        why = f"   ({units.told('; '.join(swap['why']))})" if swap["why"] else ""
        lines.append(
            f"{amounts_text(swap['out'], units.amount)} → {amounts_text(swap['into'], units.amount) or LEFT_OUT}{why}"
        )
    lines = lines or ["No swap is needed."]
    if data["moved"]:
        lines.append(f"moved: {', '.join(moved_parts(data['moved'], units))}")
    price = "" if data["price"] is None else f"; price {data['price']:.2f}"
    lines.append(f"drift {data['drift']:.1f}{price}; clear changes: {clear_text(data['changes'])}")
    lines += allergen_lines(data)
    if data["traded"]:
        given = ", ".join(change_text(item["reading"], item["change"]) for item in data["traded"])
        lines.append(f"given up for it: {given}")
    lines += missed_lines(data)
    lines += short_lines(data, units)
    return [*lines, _sure(data)] if whole else lines


def moved_parts(moved: Sequence[MovedData], units: Units) -> list[str]:
    """Each thing that moves besides, and by how much."""
    return [units.named(Amount(each["ingredient"], each["grams_change"]), signed=True) for each in moved]


def short_lines(data: WayData, units: Units) -> list[str]:
    """What is still lacking, in one sentence; none where nothing is."""
    lacking = amounts_text(data["short"], units.amount, ", ")
    return [f"Still short of {lacking}: nothing in the store stands in for it."] if lacking else []


def missed_lines(data: WayData) -> list[str]:
    """What a way does not meet, and how near it comes."""
    return [_missed_line(miss, data) for miss in data["missed"]]


def _missed_line(miss: MissedData, data: WayData) -> str:
    """A hold tells what is left of it in one digit more: by its own digits it may look met."""
    nearest, key = miss["nearest"], miss["wish"].removeprefix("hold ").partition("=")[0]
    if nearest is None and key == "price":
        return f"! {miss['wish']} cannot be told: something in it has no price"
    if nearest is None:
        return f"! {miss['wish']} is not met"
    if miss["wish"].startswith("hold ") and key in data["changes"]:
        unit, (_, decimals) = change_unit(key), rounded(key, nearest)
        change = f"{data['changes'][key]['change'] or 0.0:+.{decimals + 1}f} {unit}".rstrip().replace("-", "−")
        near = f"{nearest:.{decimals + 1}f}".replace("-", "−")
        return f"! hold {label(key)} is not met; the nearest is {near}, {change} from now"
    near = f"{nearest:.2f}" if key == "price" else figure_text(key, nearest)
    return f"! {miss['wish']} is not met; the nearest is {near}"


def _sure(data: HowSure) -> str:
    """Cost is drift, with what each swap counts like and what a missed wish weighs."""
    gap = data["gap"]
    if gap is None:
        return "The time ran out: a better one may be there."
    if not data["proven"]:
        return f"The time ran out: a better one may cost up to {100.0 * gap:.1f} % less."
    if gap <= EXACTLY:
        return "Proven the best within the rules and the limits of each swap."
    return f"Proven within the rules and the limits of each swap: a better one costs at most {100.0 * gap:.1f} % less."

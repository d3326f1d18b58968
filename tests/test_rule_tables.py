"""The three tables of the baker's knowledge: rules, tolerances, bands. Every row is whole, known and sourced."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import pairwise, product
from typing import Any

import tomli
from rows import each

from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.readings.registry import READINGS as READING_OBJECTS

TAGS = {"P", "M", "CP", "F", "A"}

READINGS = set(READING_KEYS)
LINEAR = {reading.key for reading in READING_OBJECTS if reading.is_row}
KEEPABLE = LINEAR | {"weight", "dry_weight", "ash", "protein", "starch", "lactose", "carbonate"}

RULE_KEYS = {
    "id", "family", "say", "out", "into", "except", "except_out", "seldom", "share", "keep", "moves", "weigh", "limits",
    "most", "dose", "notice", "tag", "source",
}  # fmt: skip

FAMILIES = {
    "white flour and bran for wholemeal", "rye flours", "wheat flours", "spelt", "oats, barley and other flours",
    "syrups and sugars", "acid liquids", "sharpened liquids", "milk, water, beer and juice", "sourdough in",
    "sourdough out", "yeast", "seeds and nuts", "dried fruit and vegetables", "fats",
}  # fmt: skip
"""The families that every shipped table must have; others may stand beside them."""

LONGEST_OFFERS_LIST = 45


def table(name: str) -> dict[str, Any]:
    return tomli.loads((files("substitutions") / name).read_text(encoding="utf-8"))


def ingredient_rows() -> list[dict[str, Any]]:
    folder = files("substitutions") / "ingredients"
    parts = sorted((part for part in folder.iterdir() if part.name.endswith(".toml")), key=lambda part: part.name)
    return [row for part in parts for row in tomli.loads(part.read_text(encoding="utf-8"))["ingredient"]]


RULES: list[dict[str, Any]] = table("rules.toml")["rule"]
TOLERANCES: list[dict[str, Any]] = table("tolerances.toml")["tolerance"]
STYLES: list[dict[str, Any]] = table("bands.toml")["style"]
BANDS: list[dict[str, Any]] = table("bands.toml")["band"]
KINDS_OF: dict[str, set[str]] = {row["name"]: set(row["kinds"]) for row in ingredient_rows()}

each_rule = each("rule", RULES, label=lambda rule: rule["id"])


def members(slot: str) -> list[str]:
    if slot.startswith("kind:"):
        return [name for name, kinds in KINDS_OF.items() if slot.removeprefix("kind:") in kinds]
    return [slot] if slot in KINDS_OF else []


def combinations(rule: dict[str, Any], going_out: set[str]) -> list[tuple[str, ...]]:
    """Every choice for the incoming slots: none that goes out, none twice, kinds without their exceptions."""
    left_out = set(rule.get("except", ()))
    slots = [
        [name for name in members(slot) if not slot.startswith("kind:") or name not in left_out]
        for slot in rule["into"]
    ]
    return [chosen for chosen in product(*slots) if len(set(chosen)) == len(chosen) and not going_out & set(chosen)]


# ------------------------------------------------------------------------------------------------------- rules


def test_rules_are_many_and_each_has_a_name_of_its_own() -> None:
    ids = [rule["id"] for rule in RULES]
    assert len(ids) >= 60
    assert len(set(ids)) == len(ids)


def test_every_family_is_there() -> None:
    assert {rule["family"] for rule in RULES} >= FAMILIES


@each_rule
def test_rule_is_whole(rule: dict[str, Any]) -> None:
    assert set(rule) <= RULE_KEYS
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", rule["id"])
    for key in ("family", "say", "notice", "source"):
        assert rule[key].strip() == rule[key] != ""
        assert rule[key].isprintable()
    assert len(rule["say"]) <= 82, "one line of the list"
    assert 1 <= len(rule["out"]) <= 3
    assert (0 if rule["family"] == "leaving out" else 1) <= len(rule["into"]) <= 4
    assert 0 < rule.get("share", 100) <= 100


@each_rule
def test_rule_names_only_what_the_catalogue_holds(rule: dict[str, Any]) -> None:
    for slot in (*rule["out"], *rule["into"], *rule.get("moves", ())):
        assert members(slot), f"{slot} is neither an ingredient nor a kind of one"
    for name in rule.get("except", ()):
        assert name in KINDS_OF
        assert name not in rule["into"]


@each_rule
def test_rule_keeps_known_readings_and_no_more_than_it_has_unknowns(rule: dict[str, Any]) -> None:
    keep, moves = rule["keep"], rule.get("moves", [])
    assert keep
    assert set(keep) <= KEEPABLE
    assert len(set(keep)) == len(keep)
    assert len(keep) <= len(rule["into"]) + len(moves)
    weigh = rule.get("weigh", {})
    assert set(weigh) <= LINEAR - set(keep)
    assert all(weight > 0 for weight in weigh.values())


@each_rule
def test_nothing_both_comes_in_and_moves(rule: dict[str, Any]) -> None:
    assert not set(rule["into"]) & set(rule.get("moves", ()))


@each_rule
def test_bounds_belong_to_slots_and_can_be_met(rule: dict[str, Any]) -> None:
    slots = range(1, len(rule["into"]) + 1)
    least = 0.0
    for limit in rule.get("limits", ()):
        assert limit["slot"] in slots
        low, high = limit.get("min", 0.0), limit.get("max", 1.0)
        assert 0 <= low < high <= 1
        least += low
    assert least <= 1
    for bound in rule.get("most", ()):
        assert bound["slot"] in slots
        assert 0 < bound["percent_flour"] <= 100


@each_rule
def test_rule_brings_something_in_whatever_goes_out(rule: dict[str, Any]) -> None:
    for going_out in product(*(members(slot) for slot in rule["out"])):
        if not set(going_out) & set(rule["into"]):
            assert combinations(rule, set(going_out)), f"nothing stands in for {going_out}"


@each("acid_liquid", ["buttermilk", "yoghurt", "kefir", "sour whey"])
def test_an_acid_liquid_is_not_buried_in_offers(acid_liquid: str) -> None:
    offers = [
        chosen
        for rule in RULES
        if len(rule["out"]) == 1 and acid_liquid in members(rule["out"][0])
        for chosen in combinations(rule, {acid_liquid})
    ]
    assert 20 <= len(offers) <= LONGEST_OFFERS_LIST


def test_what_is_sharpened_stays_the_larger_part_and_can_be_eaten() -> None:
    """At 12 g of 5 % vinegar to 100 g of flour a loaf is at the limit of what is eaten: common practice, no source."""
    vinegars = set(members("kind:sharp acid"))
    sharpened = [rule for rule in RULES if rule["family"] == "sharpened liquids" and len(rule["into"]) > 1]
    assert {"tta", "ph"} <= {key for rule in sharpened for key in rule["keep"]}
    for rule in sharpened:
        sharp = [number for number, slot in enumerate(rule["into"], 1) if vinegars & set(members(slot))]
        bounded = {bound["slot"] for bound in rule["most"] if bound["percent_flour"] <= 12}
        assert set(sharp[-1:]) <= bounded, rule["id"]
        assert any(limit["slot"] == 1 and limit["min"] > 0.5 for limit in rule["limits"]), rule["id"]


def test_germ_stays_within_the_kernel() -> None:
    """A wheat kernel is 2.5 to 3 % germ (milling handbooks)."""
    rule = next(rule for rule in RULES if rule["id"] == "white-bran-and-germ-for-wholemeal-wheat")
    assert rule["into"][2] == "wheat germ"
    assert rule["limits"] == [{"slot": 3, "min": 0.025, "max": 0.03}]


def test_every_sugar_and_syrup_and_every_acid_liquid_can_stand_in_for_every_other() -> None:
    sweet = set(members("kind:syrup")) | set(members("kind:sugar"))
    for group in (sweet, set(members("kind:acid liquid"))):
        for out in group:
            incoming = {
                chosen[0]
                for rule in RULES
                if len(rule["out"]) == 1 and out in members(rule["out"][0])
                for chosen in combinations(rule, {out})
            }
            missing = group - incoming - {out} - RICH_OR_PLAIN
            assert not missing, f"{out}: {missing}"


RICH_OR_PLAIN = {"creme fraiche", "glucose syrup", "corn syrup", "rice syrup"}
"""Left out on purpose where they would come in by the pound: hardly sweet, or a third fat."""


def test_the_program_reads_the_rules() -> None:
    from adapter.dough.readings.kitchen import load_kitchen
    from adapter.swaps.rules import load_rules

    kitchen = load_kitchen()
    assert {*kitchen.keepable, "weight", "dry_weight"} >= KEEPABLE
    rules = load_rules(kitchen.catalogue, kitchen.keepable)
    assert [rule.id for rule in rules] == [rule["id"] for rule in RULES]


# ------------------------------------------------------------------------------------------ tolerances and bands


def test_every_reading_has_one_tolerance() -> None:
    assert sorted(row["reading"] for row in TOLERANCES) == sorted(READINGS)


@each("row", TOLERANCES, label=lambda row: row["reading"])
def test_tolerance_is_whole(row: dict[str, Any]) -> None:
    assert set(row) <= {
        "reading", "value", "unit", "in_drift", "in_drift_above", "weight", "model_spread", "model_spread_relative",
        "model_spread_difference", "tag",
        "source", "note",
    }  # fmt: skip
    assert row["value"] > 0
    assert row["weight"] > 0
    assert row["unit"].strip()
    if row["in_drift"]:
        assert row["reading"] in LINEAR, "the balancing programme can only seek what is linear in grams"


def test_nothing_is_counted_twice_in_drift() -> None:
    counted = {row["reading"] for row in TOLERANCES if row["in_drift"]}
    assert "effective_hydration" in counted
    assert not counted & {"hydration", "wholegrain_share", "fermentable_sugar", "yeast"}


def test_styles_cover_every_rye_share_once() -> None:
    """10, 50 and 90 % rye: German Food Code, guidelines for bread and small baked goods (1993)."""
    ordered = sorted(STYLES, key=lambda style: style["min_rye"])
    assert [style["name"] for style in ordered] == ["wheat", "mixed wheat", "mixed rye", "rye"]
    assert ordered[0]["min_rye"] == 0
    assert ordered[-1]["max_rye"] == 100
    assert [(low["max_rye"], high["min_rye"]) for low, high in pairwise(ordered)] == [(10, 10), (50, 50), (90, 90)]


@each("row", BANDS, label=lambda row: f"{row['style']}: {row['reading']}")
def test_band_is_whole(row: dict[str, Any]) -> None:
    assert set(row) == {"style", "reading", "low", "high", "tag", "source"}
    assert row["style"] in {style["name"] for style in STYLES}
    assert row["reading"] in READINGS
    assert 0 <= row["low"] < row["high"]


def test_bands_stand_once_and_every_style_has_the_main_ones() -> None:
    pairs = [(row["style"], row["reading"]) for row in BANDS]
    assert len(set(pairs)) == len(pairs)
    main = {"effective_hydration", "sugar", "tta", "ph", "salt", "fat", "yeast", "rise_time"}
    for style in STYLES:
        assert main <= {reading for name, reading in pairs if name == style["name"]}


@each("style, low, high", [("wheat", 4, 6), ("mixed wheat", 6, 8), ("mixed rye", 7, 9), ("rye", 8, 10)])
def test_acidity_bands_hold_the_usual_crumb(style: str, low: float, high: float) -> None:
    """TTA of crumb by style: common practice, no source."""
    band = next(row for row in BANDS if row["style"] == style and row["reading"] == "tta")
    assert band["low"] <= low < high <= band["high"]


# ------------------------------------------------------------------------------------------------------ sources

SOURCED = [
    (f"{name} {row.get('id') or row.get('name') or (row.get('style', ''), row['reading'])}", row)
    for name, rows in (("rule", RULES), ("tolerance", TOLERANCES), ("style", STYLES), ("band", BANDS))
    for row in rows
]


@each("label, row", SOURCED, label=lambda sourced: sourced[0])
def test_source_says_how_sure_it_is(label: str, row: dict[str, Any]) -> None:
    tag, source = row["tag"], row["source"]
    assert tag in TAGS
    assert ("common practice, no source" in source) == (tag == "CP")
    assert ("from memory" in source) <= (tag in {"M", "A"})
    assert ("assumed here" in source) <= (tag in {"A", "CP"})
    if tag == "M":
        assert "from memory" in source
    if tag == "A":
        assert "here" in source
    if tag == "P":
        assert len(source) > 20, "names what was published"

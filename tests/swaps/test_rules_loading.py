"""The rules table: bad rows in one line, a baker's own over the shipped ones, kinds that new ingredients join, and
a big kitchen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import tomli

from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem
from adapter.swaps.likeness import MOST_OF_A_RULE
from adapter.swaps.order import reach
from adapter.swaps.programme import Solver
from adapter.swaps.ruled_out import carriers, load_without
from adapter.swaps.rules import Rule, fits, load_rules, members_of, slot_words
from adapter.swaps.swapper import Swapper

Load = Callable[[str], tuple[Rule, ...]]

RULE = """
[[rule]]
id = "own"
family = "own"
say = "malt syrup for the honey"
out = ["honey"]
into = ["malt syrup"]
keep = ["sugar"]
moves = ["water"]
notice = "Maltier."
tag = "own"
source = "this kitchen"
"""


@pytest.fixture
def load(kitchen: Kitchen, keepable: tuple[str, ...], tmp_path: Path) -> Load:
    """The shipped rules with a text laid over them as a baker's own rules.toml."""

    def loaded(text: str) -> tuple[Rule, ...]:
        (tmp_path / "rules.toml").write_text(text, encoding="utf-8")
        return load_rules(kitchen.catalogue, keepable, [tmp_path])

    return loaded


def refused(load: Load, old: str, new: str, text: str = RULE) -> str:
    assert old in text
    with pytest.raises(InputProblem) as caught:
        load(text.replace(old, new))
    said = str(caught.value)
    assert "\n" not in said and "rules.toml" in said
    return said


# --- bad rows -------------------------------------------------------------------------------------

BAD_ROWS = {
    "unknown ingredient out": ('["honey"]', '["hony"]', "out", "honey"),
    "unknown ingredient in": ('["malt syrup"]', '["malt sirup"]', "into", "malt syrup"),
    "unknown kind": ('["honey"]', '["kind:sirup"]', "out", "kind:sirup"),
    "unknown kind that moves": ('["water"]', '["kind:wet"]', "moves", "kind:wet"),
    "unknown exception": ('tag = "own"', 'except = ["moon"]\ntag = "own"', "except", "moon"),
    "nothing goes out": ('out = ["honey"]', "out = []", "out", "nothing"),
    "nothing is said of what comes in": ('into = ["malt syrup"]\n', "", "into", "missing"),
    "unknown quantity kept": ('["sugar"]', '["sugr"]', "keep", "sugr"),
    "a reading that is not linear kept": ('["sugar"]', '["rise_time"]', "keep", "rise_time"),
    "unknown quantity weighed": ('tag = "own"', 'weigh = { sugr = 2 }\ntag = "own"', "sugr", "one of"),
    "weight that is no number": ('tag = "own"', 'weigh = { sugar = "2" }\ntag = "own"', "weigh.sugar", "number"),
    "slot beyond the last": ('tag = "own"', 'limits = [{ slot = 2 }]\ntag = "own"', "slot", "1 to 1"),
    "slot zero": ('tag = "own"', 'most = [{ slot = 0, percent_flour = 3 }]\ntag = "own"', "slot", "1 to 1"),
    "half a slot": ('tag = "own"', 'limits = [{ slot = 1.5 }]\ntag = "own"', "slot", "1.5"),
    "slot missing": ('tag = "own"', 'most = [{ percent_flour = 3 }]\ntag = "own"', "slot", "missing"),
    "amount missing": ('tag = "own"', 'most = [{ slot = 1 }]\ntag = "own"', "percent_flour", "missing"),
    "limits crossed": ('tag = "own"', 'limits = [{ slot = 1, min = 0.9, max = 0.1 }]\ntag = "own"', "limits", "order"),
    "limits above all": ('tag = "own"', 'limits = [{ slot = 1, max = 1.5 }]\ntag = "own"', "limits", "0 to 1"),
    "limits no list": ('tag = "own"', 'limits = 3\ntag = "own"', "limits", "list"),
    "share of nothing": ('tag = "own"', 'share = 0\ntag = "own"', "share", "0"),
    "share above all": ('tag = "own"', 'share = 101\ntag = "own"', "share", "101"),
    "share not a number": ('tag = "own"', 'share = nan\ntag = "own"', "share", "finite"),
    "unknown tag": ('tag = "own"', 'tag = "sure"', "tag", "sure"),
    "source missing": ('source = "this kitchen"', "", "source", "missing"),
    "source empty": ('"this kitchen"', '"  "', "source", "text"),
    "id missing": ('id = "own"', "", "id", "missing"),
    "notice missing": ('notice = "Maltier."', "", "notice", "missing"),
    "unknown key": ('tag = "own"', 'keeps = ["sugar"]\ntag = "own"', "keeps", "known"),
    "out is a text": ('["honey"]', '"honey"', "out", "list"),
    "out holds a number": ('["honey"]', "[3]", "out", "list"),
    "id is a number": ('id = "own"', "id = 3", "id", "text"),
}


@pytest.mark.parametrize("fault", BAD_ROWS)
def test_a_bad_row_names_file_rule_and_key(fault: str, load: Load) -> None:
    old, new, key, said = BAD_ROWS[fault]
    line = refused(load, old, new)
    assert key in line and said in line
    assert "'own'" in line or fault in ("id missing", "id is a number")


def test_of_an_unknown_ingredient_the_nearest_three_are_told(load: Load, kitchen: Kitchen) -> None:
    line = refused(load, '["honey"]', '["hony"]')
    told = line.partition("nearest: ")[2].rstrip(")").split(", ")
    assert len(told) == 3 and told[0] == "honey" and set(told) <= set(kitchen.catalogue.ingredients)


# Rows in which each value is fine by itself and the rule cannot work.
MISSED_ROWS = {
    "less than nothing of flour": ('tag = "own"', 'most = [{ slot = 1, percent_flour = -3 }]\ntag = "own"'),
    "a dose of nothing": ('tag = "own"', 'dose = [{ slot = 1, percent_flour = 0 }]\ntag = "own"'),
    "unknown key in dose": ('tag = "own"', 'dose = [{ slot = 1, percent_flour = 3, max = 2 }]\ntag = "own"'),
    "weight below nothing": ('tag = "own"', 'weigh = { sugar = -2 }\ntag = "own"'),
    "limits that contradict each other": (
        'into = ["malt syrup"]',
        'into = ["malt syrup", "water"]\nlimits = [{ slot = 1, min = 0.6 }, { slot = 2, min = 0.6 }]',
    ),
    "unknown key in limits": ('tag = "own"', 'limits = [{ slot = 1, low = 0.1 }]\ntag = "own"'),
    "unknown key in most": ('tag = "own"', 'most = [{ slot = 1, percent_flour = 3, max = 2 }]\ntag = "own"'),
    "one ingredient in two slots": ('["malt syrup"]', '["malt syrup", "malt syrup"]'),
    "table misspelt": ("[[rule]]", "[[rules]]"),
}


@pytest.mark.parametrize("fault", MISSED_ROWS)
def test_a_row_that_cannot_work_is_refused(fault: str, load: Load) -> None:
    refused(load, *MISSED_ROWS[fault])


def test_one_id_twice_in_a_file(load: Load) -> None:
    assert "'own'" in refused(load, "[[rule]]", "[[rule]]", RULE + RULE)


def test_a_rule_that_stands_for_very_much_offers_the_likeliest(
    load: Load, kitchen: Kitchen, solver: Solver, dark_loaf: Formula
) -> None:
    """Hundreds of thousands of combinations: a list for choosing from, not an endless wait."""
    found = load(RULE.replace('["malt syrup"]', '["kind:flour", "kind:seed", "kind:liquid", "kind:syrup"]'))
    rule = next(rule for rule in found if rule.id == "own")
    honey = [line.ingredient for line in dark_loaf.lines].index("honey")
    choices = list(Swapper(kitchen, [rule], dark_loaf, solver).fitting(honey, ()))
    assert 50 < len(choices) <= MOST_OF_A_RULE
    assert len({chosen for _, _, chosen in choices}) == len(choices)


@pytest.mark.parametrize("text", ["[[rule]\n", "rule = 3\n", "rule = [3]\n", "[rule]\nid = 3\n", "\0", "[[rule]]\n"])
def test_a_broken_file_is_one_line(text: str, load: Load) -> None:
    with pytest.raises(InputProblem) as caught:
        load(text)
    assert "\n" not in str(caught.value) and "rules.toml" in str(caught.value)


def test_a_file_that_is_not_utf8(kitchen: Kitchen, keepable: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "rules.toml").write_bytes(RULE.replace("Maltier", "Mälzig").encode("latin-1"))
    with pytest.raises(InputProblem, match="UTF-8"):
        load_rules(kitchen.catalogue, keepable, [tmp_path])


# --- a baker's own --------------------------------------------------------------------------------


def test_an_own_rule_joins_the_shipped_ones(load: Load, rules: tuple[Rule, ...]) -> None:
    loaded = load(RULE)
    assert [rule.id for rule in loaded] == [*(rule.id for rule in rules), "own"]
    assert load("") == rules


def test_an_own_rule_replaces_the_shipped_one_of_its_id(load: Load, rules: tuple[Rule, ...]) -> None:
    """Same id, the baker's wins, in the same place of the order."""
    loaded = load(RULE.replace('id = "own"', 'id = "syrup-for-syrup"'))
    assert [rule.id for rule in loaded] == [rule.id for rule in rules]
    mine = next(rule for rule in loaded if rule.id == "syrup-for-syrup")
    assert (mine.out, mine.into, mine.keep, mine.tag) == (("honey",), ("malt syrup",), ("sugar",), "own")


def test_a_kind_stands_for_each_of_its_members(rules: tuple[Rule, ...], kitchen: Kitchen) -> None:
    rule = next(rule for rule in rules if rule.id == "syrup-for-syrup")
    going = frozenset({"honey"})
    chosen = {names[0] for names in rule.combinations(kitchen.catalogue, going)}
    assert chosen == set(kitchen.catalogue.of_kind("syrup")) - rule.excluded - going
    assert members_of("kind:syrup", kitchen.catalogue) == kitchen.catalogue.of_kind("syrup")
    assert fits("kind:syrup", "honey", kitchen.catalogue) and not fits("kind:syrup", "milk", kitchen.catalogue)
    assert fits("milk", "milk", kitchen.catalogue)


SYRUP = """
[[ingredient]]
name = "{name}"
kinds = [{kinds}]
[ingredient.figures]
water = {{ value = {water}, spread = 1, tag = "own", source = "packet" }}
sucrose = {{ value = {sugar}, spread = 1, tag = "own", source = "packet" }}
"""


def test_a_new_ingredient_of_a_kind_joins_without_a_rule(
    keepable: tuple[str, ...], solver: Solver, tmp_path: Path, dark_loaf: Formula
) -> None:
    """A spruce syrup of the baker's own is offered for honey, and honey for it."""
    (tmp_path / "ingredients").mkdir()
    text = SYRUP.format(name="spruce syrup", kinds='"syrup"', water=30, sugar=70)
    (tmp_path / "ingredients" / "own.toml").write_text(text, encoding="utf-8")
    kitchen = load_kitchen([tmp_path])
    rules = load_rules(kitchen.catalogue, keepable)
    place = next(dark_loaf.find("honey"))
    offers = Swapper(kitchen, rules, dark_loaf, solver).offers(place)
    offer = next(offer for offer in offers if offer.chosen == ("spruce syrup",))
    assert offer.rule is not None and offer.rule.id == "syrup-for-syrup"
    changed = offer.after.formula
    back = Swapper(kitchen, rules, changed, solver).offers(next(changed.find("spruce syrup")))
    assert any(offer.chosen == ("honey",) for offer in back)


# --- a big kitchen --------------------------------------------------------------------------------


def test_two_thousand_ingredients_and_five_hundred_rules(solver: Solver, tmp_path: Path, dark_loaf: Formula) -> None:
    """Offers for every line finish and are right; how long they take is measured elsewhere."""
    shipped = load_kitchen()
    kinds = ("syrup", "acid liquid", "seed", "nut", "spice", "dried fruit", "oil", "plain liquid", "solid fat", "juice")
    more = 2000 - len(shipped.catalogue)
    entries = []
    for number in range(more):
        kind = kinds[number % len(kinds)]
        water = 5 + number % 83
        entries.append(SYRUP.format(name=f"{kind} {number}", kinds=f'"{kind}"', water=water, sugar=100 - water))
    (tmp_path / "ingredients").mkdir()
    (tmp_path / "ingredients" / "many.toml").write_text("".join(entries), encoding="utf-8")
    kitchen = load_kitchen([tmp_path])
    assert len(kitchen.catalogue) == 2000
    keepable = kitchen.keepable
    count = len(load_rules(kitchen.catalogue, keepable))
    own = [
        RULE.replace('"own"', f'"own {number}"', 1)
        .replace('["honey"]', '["kind:syrup"]' if number % 7 == 0 else f'["{kinds[number % 10]} {number}"]')
        .replace('["malt syrup"]', f'["{kinds[(3 * number) % 10]} {3 * number}"]' if 3 * number < more else '["honey"]')
        for number in range(500 - count)
    ]
    (tmp_path / "rules.toml").write_text("".join(own), encoding="utf-8")
    assert tomli.loads("".join(own))
    rules = load_rules(kitchen.catalogue, keepable, [tmp_path])
    assert len(rules) == 500

    solving = Swapper(kitchen, rules, dark_loaf, solver)
    for place in (next(dark_loaf.find(name)) for name in ("honey", "salt", "wheat bran", "buttermilk")):
        for offer in solving.offers(place)[::40]:
            exact = measure(kitchen, offer.exact, offer.before)
            assert offer.rule is not None
            for key in set(offer.rule.keep) - {item.key for item in offer.unmet} - {"weight", "dry_weight"}:
                if key in ("ph", "tta"):  # the proof's acids move with the swap, by less than is noticed
                    tolerance = kitchen.tolerances[key].value
                    assert offer.after.value(key) == pytest.approx(offer.before.value(key), abs=0.8 * tolerance)
                    continue
                assert exact.value(key) == pytest.approx(offer.before.value(key), rel=1e-9, abs=1e-9)
    honey = solving.offers(next(dark_loaf.find("honey")))
    assert len(honey) > 200
    keys = [reach(offer, None) for offer in honey]
    assert keys == sorted(keys)
    assert kitchen.catalogue.resolve("seed 1502").name == "seed 1502"
    assert Line("seed 1502", 1.0).ingredient in kitchen.catalogue.ingredients


def test_how_a_slot_is_said() -> None:
    assert [slot_words(slot) for slot in ("kind:acid liquid", "honey")] == ["any acid liquid", "honey"]


def test_a_word_that_rules_out_by_figures_names_such_as_there_are(tmp_path: Path, kitchen: Kitchen) -> None:
    row = '[[without]]\nword = "Spirits"\nfigures = ["FIGURE"]\ntag = "own"\nsource = "this kitchen"\n'
    path = tmp_path / "without.toml"
    path.write_text(row.replace("FIGURE", "alcohl"), encoding="utf-8")
    with pytest.raises(InputProblem, match="'alcohl' is no figure") as caught:
        load_without([tmp_path])
    assert caught.value.right is not None and "alcohol" in caught.value.right
    path.write_text(row.replace("FIGURE", "alcohol"), encoding="utf-8")
    words = load_without([tmp_path])
    beer = kitchen.catalogue.get("beer").figure("alcohol")
    assert carriers(words["spirits"], kitchen.catalogue)["beer"] == f"{beer:g} % alcohol in it"
    for missing in ('tag = "own"\n', 'source = "this kitchen"\n'):
        path.write_text(row.replace("FIGURE", "alcohol").replace(missing, ""), encoding="utf-8")
        with pytest.raises(InputProblem, match=r"without\.toml"):
            load_without([tmp_path])


@pytest.mark.parametrize(
    ("rows", "is_good"),
    [
        ("share = 100", True),
        ("share = 0.1", True),
        ("share = 100.1", False),
        ("weigh = { sugar = 0 }", True),
        ("weigh = { sugar = -0.1 }", False),
        ("most = [{ slot = 2, percent_flour = 0.1 }]", True),
        ("most = [{ slot = 2, percent_flour = 0 }]", False),
        ("dose = [{ slot = 2, percent_flour = 0.1 }]", True),
        ("limits = [{ slot = 1, min = 0, max = 1 }]", True),
        ("limits = [{ slot = 1, min = 0.3, max = 0.3 }]", True),
        ("limits = [{ slot = 1, min = 0.31, max = 0.3 }]", False),
        ("limits = [{ slot = 1, min = -0.1 }]", False),
        ("limits = [{ slot = 1, max = 1.1 }]", False),
        ("limits = [{ slot = 1, min = 0.5 }, { slot = 2, min = 0.5 }]", True),
        ("limits = [{ slot = 1, min = 0.5 }, { slot = 2, min = 0.6 }]", False),
        ("limits = [{ slot = 1, max = 0.4 }, { slot = 2, max = 0.6 }]", True),
        ("limits = [{ slot = 1, max = 0.4 }, { slot = 2, max = 0.5 }]", False),
        ("limits = [{ slot = 1, max = 0.4 }]", True),
        ("limits = [{ slot = 3, max = 0.4 }]", False),
    ],
)
def test_limits_of_a_row(rows: str, is_good: bool, load: Load) -> None:
    """The last number that may be and the first that may not; limits have to leave the parts room to make a whole."""
    text = RULE.replace('into = ["malt syrup"]', 'into = ["malt syrup", "water"]').replace(
        'tag = "own"', f'{rows}\ntag = "own"'
    )
    if is_good:
        assert next(rule for rule in load(text) if rule.id == "own").into == ("malt syrup", "water")
        return
    with pytest.raises(InputProblem, match=r"rules\.toml"):
        load(text)

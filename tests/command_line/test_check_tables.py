"""`check`: every fault of a table or a formula is named with its file, entry and key, and other commands refuse too."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from adapter.formula import tables as table_reading

PROJECT = Path(__file__).parents[2]
Refused = Callable[..., str]

INGREDIENT = """
[[ingredient]]
name = "hay flower honey"
aliases = ["mountain honey"]
kinds = ["syrup"]
allergens = []
[ingredient.figures]
water = { value = 18, spread = 2, tag = "own", source = "refractometer" }
glucose = { value = 36, spread = 3, tag = "A", source = "as honey" }
fructose = { value = 45, spread = 3, tag = "A", source = "as honey" }
[ingredient.properties]
density_g_ml = { value = 1.42, spread = 0.02, tag = "A", source = "as honey" }
[ingredient.acidity]
acids = { gluconic = 42 }
ph = { value = 3.9, spread = 0.2, tag = "own", source = "meter" }
spread_of_totals = 0.3
tag = "A"
source = "as honey"
"""
RULE = """
[[rule]]
id = "hay"
family = "own"
say = "hay flower honey for honey"
out = ["honey"]
into = ["hay flower honey"]
keep = ["sugar"]
moves = ["water"]
notice = "Smells of hay."
tag = "own"
source = "tried at home"
"""
TOLERANCE = """
[[tolerance]]
reading = "salt"
value = 0.05
unit = "% of flour"
in_drift = true
weight = 1.0
tag = "own"
source = "tasted at home"
"""
BAND = """
[[band]]
style = "rye"
reading = "salt"
low = 1.2
high = 1.8
tag = "own"
source = "we like it mild"
"""
STYLE = """
[[style]]
name = "all rye"
min_rye = 99
max_rye = 100
tag = "own"
source = "of our own"
"""
LOAF_CLASS = (PROJECT / "substitutions" / "loaf_classes.toml").read_text(encoding="utf-8").split("[[loaf_class]]")[1]
LOAF_CLASS = "[[loaf_class]]" + LOAF_CLASS
CAUTION = """
[[caution]]
key = "caraway"
when = { ingredient = "caraway" }
text = "Not everybody likes caraway."
basis = "Ask."
tag = "own"
source = "asked at home"
"""
STEP = """
[[step]]
name = "toast the seeds"
kind = "seed"
hours = 0.3
tag = "own"
source = "timed at home"
"""
STAGE_KIND = """
[[stage_kind]]
name = "poolish"
ripe_rise = [70, 100, 150]
most_rise = 200
gas_kept = 1.0
least_starter = 0.02
most_starter = 3
coldest_c = 4
warmest_c = 30
tag = "own"
source = "watched at home"
"""
GOOD = {
    "ingredients/home.toml": INGREDIENT,
    "tolerances.toml": TOLERANCE,
    "bands.toml": BAND,
    "loaf_classes.toml": LOAF_CLASS,
    "cautions.toml": CAUTION,
    "work_steps.toml": STEP,
    "stage_kinds.toml": STAGE_KIND,
}


def put(home: Path, file: str, text: str) -> Path:
    path = home / "tables" / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_what_ships_is_in_order(ok: Callable[..., str]) -> None:
    text = ok("check")
    assert "ingredients" in text and "rules" in text and "sample formulas: in order" in text


def test_every_shipped_table_says_where_each_row_is_from(ok: Callable[..., str]) -> None:
    """`check` reads the tag and source of every row, so that it passes only where all are there."""
    parts = ok("check").splitlines()[0].removesuffix(": in order").split(", ")
    counts = {what: number for number, what in (part.split(" ", 1) for part in parts)}
    assert int(counts["ingredients"]) >= 120
    assert int(counts["rules"]) >= 45


def test_own_tables_lie_over_the_shipped_ones(ok: Callable[..., str], data: Callable[..., Any], home: Path) -> None:
    shipped = data("balance", "stove_side_sour_rye")
    for file, text in GOOD.items():
        put(home, file, text)
    put(home, "rules.toml", RULE)
    ok("check")
    assert [item["name"] for item in data("ingredients", "mountain", "honey")["ingredients"]] == ["hay flower honey"]
    mine = data("balance", "stove_side_sour_rye")
    assert mine["readings"]["salt"]["band"] == [1.2, 1.8]
    assert mine["readings"]["salt"]["value"] == shipped["readings"]["salt"]["value"]
    offers = data("offers", "oat_and_whey_tin", "--line", "honey")["offers"]
    hay = next(offer for offer in offers if offer["rule"] == "hay")
    assert [item["ingredient"] for item in hay["into"]] == ["hay flower honey"]
    assert "Not everybody likes caraway." in ok("bake", "potato_caraway_loaf")
    assert "toast the seeds" in ok("bake", "hut_everyday_loaf")


def test_a_new_ingredient_joins_by_its_kind_without_a_rule(data: Callable[..., Any], home: Path) -> None:
    put(home, "ingredients/home.toml", INGREDIENT)
    offers = data("offers", "oat_and_whey_tin", "--line", "honey")["offers"]
    assert any(item["ingredient"] == "hay flower honey" for offer in offers for item in offer["into"])


FAULTS: dict[str, tuple[str, str, str, str, tuple[str, ...]]] = {
    # what: file, good text, part of it, put in its place, what the line says
    "no source": ("ingredients/home.toml", INGREDIENT, ', source = "refractometer"', "",
                  ("ingredient 'hay flower honey'", "water", "source is missing")),
    "an empty source": ("ingredients/home.toml", INGREDIENT, '"refractometer"', '" "',
                        ("ingredient 'hay flower honey'", "water", "source")),
    "no source of acidity": ("ingredients/home.toml", INGREDIENT, 'tag = "A"\nsource = "as honey"\n', 'tag = "A"\n',
                             ("ingredient 'hay flower honey'", "acidity", "source is missing")),
    "no tag": ("ingredients/home.toml", INGREDIENT, 'tag = "own", ', "", ("hay flower honey", "tag is missing")),
    "an unknown tag": ("ingredients/home.toml", INGREDIENT, '"own"', '"X"', ("hay flower honey", "tag", "'X'")),
    "an unknown key": ("ingredients/home.toml", INGREDIENT, "kinds =", "kindz =", ("hay flower honey", "kindz")),
    "an unknown figure": ("ingredients/home.toml", INGREDIENT, "glucose =", "glukose =", ("figures", "glukose")),
    "an unknown acid": ("ingredients/home.toml", INGREDIENT, "gluconic", "glucosic", ("acids.glucosic", "lactic")),
    "a text for a number": ("ingredients/home.toml", INGREDIENT, "value = 18", 'value = "18"',
                            ("hay flower honey", "water", "value = '18' is not a number")),
    "not a number": ("ingredients/home.toml", INGREDIENT, "value = 18", "value = nan", ("water", "value", "finite")),
    "a negative figure": ("ingredients/home.toml", INGREDIENT, "value = 18", "value = -18", ("water", "-18")),
    "a negative spread": ("ingredients/home.toml", INGREDIENT, "spread = 2,", "spread = -2,", ("spread", "negative")),
    "a sum of 80": ("ingredients/home.toml", INGREDIENT, "value = 36", "value = 16", ("hay flower honey", "add up")),
    "a pH of 20": ("ingredients/home.toml", INGREDIENT, "value = 3.9", "value = 20", ("acidity", "ph", "20")),
    "stored on the moon": ("ingredients/home.toml", INGREDIENT, "kinds =", 'stored = "moon"\nkinds =', ("stored",)),
    "no allergen group": ("ingredients/home.toml", INGREDIENT, "allergens = []", 'allergens = ["glutn"]',
                          ("ingredient 'hay flower honey'", "allergens", "'glutn'")),
    "the same ingredient twice": ("ingredients/home.toml", INGREDIENT * 2, "", "", ("hay flower honey", "twice")),
    "an entry that is no table": ("ingredients/home.toml", 'ingredient = ["honey"]', "", "", ("ingredient 1",)),
    "not TOML": ("ingredients/home.toml", "[[ingredient]\n", "", "", ("text line 1", "not TOML")),
    "an ingredient of no name": ("ingredients/home.toml", INGREDIENT, 'name = "hay flower honey"', "",
                                 ("ingredient 1", "name is missing")),
    "a rule for nothing": ("rules.toml", RULE, 'out = ["honey"]', 'out = ["hony"]',
                           ("rule 'hay'", "out", "'hony'", "nearest: honey")),
    "a rule of no kind": ("rules.toml", RULE, 'out = ["honey"]', 'out = ["kind:sirup"]', ("rule 'hay'", "kind:sirup")),
    "a rule that keeps joy": ("rules.toml", RULE, '"sugar"', '"joy"', ("rule 'hay'", "keep", "'joy'")),
    "a rule without a source": ("rules.toml", RULE, 'source = "tried at home"', "", ("rule 'hay'", "source")),
    "a rule without a notice": ("rules.toml", RULE, 'notice = "Smells of hay."', "", ("rule 'hay'", "notice")),
    "a rule that shares too much": ("rules.toml", RULE, "keep =", "share = 120\nkeep =", ("rule 'hay'", "share")),
    "a limit of no slot": ("rules.toml", RULE, "keep =", "limits = [{ slot = 3 }]\nkeep =", ("rule 'hay'", "slot")),
    "an unknown key of a rule": ("rules.toml", RULE, "moves =", "move =", ("rule 'hay'", "move")),
    "the same rule twice": ("rules.toml", RULE * 2, "", "", ("rule 'hay'", "twice")),
    "a tolerance of nothing": ("tolerances.toml", TOLERANCE, "0.05", "0", ("tolerance 'salt'", "value")),
    "a tolerance of no reading": ("tolerances.toml", TOLERANCE, '"salt"', '"sault"', ("'sault'", "reading", "salt")),
    "a tolerance without a source": ("tolerances.toml", TOLERANCE, 'source = "tasted at home"', "",
                                     ("tolerance 'salt'", "source is missing")),
    "a band upside down": ("bands.toml", BAND, "low = 1.2", "low = 2.2", ("band 'salt'", "low")),
    "a band of no style": ("bands.toml", BAND, '"rye"', '"ryes"', ("band 'salt'", "style", "'ryes'")),
    "a band of no reading": ("bands.toml", BAND, '"salt"', '"sault"', ("band 'sault'", "reading")),
    "a band without a source": ("bands.toml", BAND, 'source = "we like it mild"', "", ("band 'salt'", "source")),
    "a style without a source": ("bands.toml", STYLE, 'source = "of our own"', "", ("style 'all rye'", "source")),
    "a class without a reason": ("loaf_classes.toml", LOAF_CLASS, "\nwhy =", "\nwhz =",
                              ("loaf_class 'sweet enriched roll'", "whz")),
    "a class of a cold core": ("loaf_classes.toml", LOAF_CLASS, "core_c = 94", "core_c = 60",
                               ("loaf_class 'sweet enriched roll'", "core_c")),
    "a caution about nothing": ("cautions.toml", CAUTION, '{ ingredient = "caraway" }', "{ }",
                                ("caution 'caraway'", "when")),
    "a caution about a misspelling": ("cautions.toml", CAUTION, '"caraway" }', '"carraway" }',
                                      ("caution 'caraway'", "ingredient", "carraway", "nearest: caraway")),
    "a caution about an alias": ("cautions.toml", CAUTION, '"caraway" }', '"runny honey" }',
                                 ("caution 'caraway'", "ingredient", "write 'honey'")),
    "a caution about no kind": ("cautions.toml", CAUTION, "{ ingredient =", "{ kind =", ("caution 'caraway'", "kind")),
    "a caution without a source": ("cautions.toml", CAUTION, 'source = "asked at home"', "",
                                   ("caution 'caraway'", "source is missing")),
    "a step of no time": ("work_steps.toml", STEP, "0.3", "0", ("step 'toast the seeds'", "hours")),
    "a step of no kind": ("work_steps.toml", STEP, '"seed"', '"seeds and nuts"', ("toast the seeds", "kind")),
    "a kind that nothing is": ("stage_kinds.toml", STAGE_KIND, '"poolish"', '"pullish"',
                               ("stage_kind 'pullish'", "name")),
    "a kind that ripens backwards": ("stage_kinds.toml", STAGE_KIND, "[70, 100, 150]", "[70, 50, 150]",
                                     ("stage_kind 'poolish'", "ripe_rise", "order of time")),
    "a kind that is ripe twice": ("stage_kinds.toml", STAGE_KIND, "most_rise", "ripe_ph = [4, 3.9, 3.8]\nmost_rise",
                                  ("stage_kind 'poolish'", "pH or by its rise")),
    "a step without a source": ("work_steps.toml", STEP, 'source = "timed at home"', "", ("toast the seeds", "source")),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_check_names_file_entry_and_key(refused: Refused, home: Path, fault: str) -> None:
    file, text, old, new, said = FAULTS[fault]
    if file == "rules.toml":
        put(home, "ingredients/home.toml", INGREDIENT)
    assert old in text
    path = put(home, file, text.replace(old, new, 1) if old else text)
    message = refused("check")
    assert str(path) in message
    for words in said:
        assert words in message


@pytest.mark.parametrize("command", ["balance", "offers", "bake", "ingredients"])
def test_the_other_commands_refuse_a_broken_table_as_well(refused: Refused, home: Path, command: str) -> None:
    path = put(home, "ingredients/home.toml", INGREDIENT.replace(', source = "refractometer"', ""))
    message = refused(command, "hut_everyday_loaf" if command != "ingredients" else "honey")
    assert str(path) in message
    assert "hay flower honey" in message
    assert "source is missing" in message


@pytest.mark.parametrize("command", ["offers", "swap"])
def test_a_tolerance_of_no_reading_is_refused_where_it_would_count(refused: Refused, home: Path, command: str) -> None:
    put(home, "tolerances.toml", TOLERANCE.replace('"salt"', '"sault"'))
    words = ["--out", "honey", "--into", "malt syrup"] if command == "swap" else ["--line", "honey"]
    message = refused(command, "hut_everyday_loaf", *words)
    assert "tolerances.toml" in message
    assert "'sault'" in message


def test_names_of_own_tables_cannot_steer_the_terminal(ok: Callable[..., str], home: Path) -> None:
    text = INGREDIENT.replace("hay flower honey", "hay\\u001b[2J\\u202Ehoney").replace("mountain", "\\u009b31mountain")
    put(home, "ingredients/home.toml", text)
    for words in (("ingredients", "hay"), ("ingredients", "hay", "--json"), ("check",)):
        shown = ok(*words)
        assert all(line.isprintable() for line in shown.split("\n")), ascii(shown)
    shown = ok("offers", "oat_and_whey_tin", "--line", "honey")
    assert "hay[2Jhoney" in shown
    assert all(line.isprintable() for line in shown.split("\n"))


@pytest.mark.parametrize("file", ["ingredient.toml", "rule.toml", "acids.toml"])
def test_a_table_that_nothing_reads_is_named(refused: Refused, home: Path, file: str) -> None:
    path = put(home, file, INGREDIENT)
    message = refused("check")
    assert str(path) in message
    assert "rules.toml" in message


def test_an_own_table_that_is_not_utf_8_or_a_directory(refused: Refused, home: Path) -> None:
    path = home / "tables" / "rules.toml"
    path.parent.mkdir(parents=True)
    path.write_bytes(b'[[rule]]\nid = "\xff"\n')
    assert "UTF-8" in refused("check")
    path.unlink()
    (home / "tables" / "ingredients" / "home.toml").mkdir(parents=True)
    assert "home.toml" in refused("check")


def test_an_alias_that_means_something_else_is_told(ok: Callable[..., str], home: Path) -> None:
    put(home, "ingredients/home.toml", INGREDIENT.replace("mountain honey", "buttermilk"))
    assert "'buttermilk' of hay flower honey means buttermilk already" in ok("check")


ACID_FAULTS = {
    "no source": ('source     = "3.86, table of', '# "3.86, table of', ("acid 'lactic'", "source is missing")),
    "no pKa": ("pka        = [3.86]", "", ("acid 'lactic'", "pka")),
    "a text for a mass": ("molar_mass = 90.08", 'molar_mass = "90"', ("acid 'lactic'", "molar_mass")),
    "no flour buffer": ('name   = "flour"', 'name   = "floor"', ("buffer_model 'flour' is missing",)),
}


@pytest.mark.parametrize("fault", ACID_FAULTS)
def test_faults_of_the_acids_are_named(
    refused: Refused, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    """No table of a baker's lies over acids.toml, so a copy of all shipped tables stands in for them here."""
    old, new, said = ACID_FAULTS[fault]
    path = in_a_copy(monkeypatch, tmp_path, "acids.toml", old, new)
    message = refused("check")
    assert str(path) in message
    for words in said:
        assert words in message


def in_a_copy(monkeypatch: pytest.MonkeyPatch, folder: Path, file: str, old: str, new: str) -> Path:
    """The shipped tables are a copy of themselves from now on, with one change in one file."""
    copy = folder / "shipped"
    shutil.copytree(PROJECT / "substitutions", copy)
    monkeypatch.setattr(table_reading, "shipped_folder", lambda _: copy)
    path = copy / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


CONTENTS_FAULTS = {
    "buffer not listed": ('{ "4.5" = 60, "6.5" = 35, ', '{ "4.5" = 60, "6.4" = 35, ', "buffers.6.4 is not listed"),
    "not a number": ("water   = { value = 76.2", 'water   = { value = "76"', "figures, water: value"),
    "not TOML": ("[ingredient.figures]\n", "[ingredient.figures]\nwater = { value = \n", "text line"),
}


@pytest.mark.parametrize("fault", CONTENTS_FAULTS)
def test_faults_within_a_shipped_ingredient_are_named(
    refused: Refused, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    """Its contents are read when asked for; `check` asks for all."""
    old, new, said = CONTENTS_FAULTS[fault]
    path = in_a_copy(monkeypatch, tmp_path, "ingredients/eggs.toml", old, new)
    message = refused("check")
    assert str(path) in message and said in message


# --- files --------------------------------------------------------------------------------------------------------


def test_check_reads_formulas_samples_pantries_and_logs(
    ok: Callable[..., str], plain: Path, tmp_path: Path, dark: str
) -> None:
    pantry = tmp_path / "shelf.toml"
    pantry.write_text('[pantry]\n[[stock]]\ningredient = "kefir"\ngrams = 500\n')
    ok("log", plain, "--mark", "4")
    text = ok("check", plain, dark, pantry, tmp_path / "loaf.bakes.toml")
    assert f"{plain}: in order" in text
    assert f"{dark}, a sample: in order" in text
    assert f"{pantry}: a pantry of 1 entries, in order" in text
    assert "a log of 1 bakes, in order" in text


def test_check_tells_of_keys_that_mean_nothing(ok: Callable[..., str], written: Callable[..., Path]) -> None:
    more = "[tin]\nlenght_cm = 22\n[proof]\ntemp_c = 20\n[reasons]\nsault = 'we like it'\n"
    path = written({"wholemeal rye flour": 500, "water": 400, "fresh yeast": 5}, more=more)
    text = ok("check", path)
    assert "[tin] lenght_cm" in text
    assert "[proof] temp_c" in text
    assert "[reasons] sault" in text


def test_check_gives_what_is_out_of_its_band_and_the_reason(
    ok: Callable[..., str], written: Callable[..., Path]
) -> None:
    lines = {"wholemeal rye flour": 500, "water": 400, "salt": 40, "fresh yeast": 5}
    assert "salt 7.86 is above the band" in ok("check", written(lines))
    assert "for curing" in ok("check", written(lines, more='[reasons]\nsalt = "for curing"\n'))


def test_check_reads_the_bakers_own_formulas(
    run: Callable[..., Any], ok: Callable[..., str], home: Path, plain: Path
) -> None:
    folder = home / "formulas"
    folder.mkdir(parents=True)
    shutil.copy(plain, folder / "mine.toml")
    assert f"{folder / 'mine.toml'}: in order" in ok("check")
    (folder / "other.toml").write_text("[formula]\n")
    outcome = run("check")
    assert outcome.code == 2 and str(folder / "other.toml") in outcome.err and outcome.err.count("\n") == 1
    assert f"{folder / 'mine.toml'}: in order" in outcome.out


def test_check_of_a_broken_file_after_a_good_one(run: Callable[..., Any], plain: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[formula]\nname = 5\n")
    outcome = run("check", plain, bad)
    assert outcome.code == 2 and str(bad) in outcome.err and outcome.err.count("\n") == 1
    assert f"{plain}: in order" in outcome.out


def test_broken_pantries_and_logs_are_named(refused: Refused, tmp_path: Path, home: Path) -> None:
    pantry = tmp_path / "shelf.toml"
    pantry.write_text('[pantry]\n[[stock]]\ningredient = "kefir"\ngrams = -1\n')
    assert "stock 1, kefir" in refused("check", pantry)
    log = tmp_path / "loaf.bakes.toml"
    log.write_text('[[bake]]\nformula = "x"\n')
    assert "bake 1" in refused("check", log)
    assert "no such file" in refused("check", tmp_path / "none.bakes.toml")
    home.mkdir()
    (home / "pantry.toml").write_text('[pantry]\n[[stock]]\ningredient = "keffir"\n')
    assert "nearest: kefir" in refused("check")

"""Which cautions a formula gets."""

import pytest

from adapter.dough.allergens import cautions_of
from adapter.dough.tables.cautions import cautions_for, load_cautions, shipped_cautions
from adapter.formula.ingredient import TAGS
from adapter.formula.problems import InputProblem


def keys(ingredients=(), kinds=(), allergens=(), percents=None):
    said = cautions_for(ingredients, kinds, allergens, percents or {})
    return [caution.key for caution in shipped_cautions() if caution.text in said]


ALWAYS = ["raw flour", "mould", "law and label", "estimates"]


def test_a_plain_formula_gets_what_holds_for_all():
    assert keys(["white wheat flour", "water"]) == ALWAYS


@pytest.mark.parametrize("grain", ["wheat", "spelt", "rye", "barley", "oats"])
def test_cereals_with_gluten(grain):
    assert keys(allergens=[f"gluten: {grain}"]) == ["gluten", *ALWAYS]
    assert keys(allergens=["gluten"]) == ["gluten", *ALWAYS]
    (text,) = [caution.text for caution in shipped_cautions() if caution.key == "gluten"]
    assert grain in text and "malt" in text


def test_honey_is_not_for_infants_baked_in_or_drizzled_on():
    assert keys(["honey"]) == ["honey", *ALWAYS]
    assert keys(["Honey"]) == ["honey", *ALWAYS]
    (text,) = [caution.text for caution in shipped_cautions() if caution.key == "honey"]
    for words in ("under one year", "baked in", "drizzled on"):
        assert words in text


def test_linseed_only_where_there_is_much_of_it():
    assert keys(["linseed"], percents={"linseed": 8.0}) == ALWAYS
    assert keys(["linseed"], percents={"linseed": 10.0}) == ALWAYS
    assert keys(["linseed"], percents={"linseed": 14.0}) == ["linseed", *ALWAYS]
    assert keys(["linseed"]) == ALWAYS
    both = ["linseed", "ground linseed"]
    assert keys(both, percents=dict.fromkeys(both, 6.0)) == ["linseed", *ALWAYS]
    assert keys(["sunflower seeds"], percents={"sunflower seeds": 30.0}) == ALWAYS


@pytest.mark.parametrize(("salt_g", "told"), [(13.0, True), (12.0, False)])
def test_much_salt_is_told_and_usual_salt_is_not(salt_g, told, read):
    """Salt is an ingredient and a kind by the same name: counted once."""
    dough = read({"white wheat flour": 500, "water": 300, "salt": salt_g, "fresh yeast": 8})
    assert any("So much salt" in text for text in cautions_of(dough)) is told


def test_alcohol_nuts_and_sulphites():
    assert keys(["beer"], kinds=["liquid", "alcohol"]) == ["alcohol", *ALWAYS]
    assert keys(allergens=["nuts: walnut"]) == ["nuts", *ALWAYS]
    assert keys(allergens=["sulphites"]) == ["sulphites", *ALWAYS]


def test_specific_cautions_come_before_the_general_ones():
    everything = keys(["honey", "linseed"], ["alcohol"], ["gluten: rye", "nuts", "sulphites"], {"linseed": 20.0})
    assert everything == ["gluten", "honey", "nuts", "sulphites", "linseed", "alcohol", *ALWAYS]


def test_every_caution_is_short_and_has_its_source():
    for caution in shipped_cautions():
        assert caution.tag in TAGS
        assert len(caution.source) > 10 and len(caution.basis) > 20
        assert len(caution.text) <= 120
        assert caution.text.endswith(".")


ROW = '[[caution]]\nkey = "chili"\nwhen = { WHEN }\ntext = "Hot."\nbasis = "it is"\ntag = "CP"\nsource = "us"\n'


def own(folder, when, row=ROW):
    (folder / "cautions.toml").write_text(row.replace("WHEN", when), encoding="utf-8")
    return load_cautions([folder])


def test_own_rows_lie_over_the_shipped(tmp_path):
    table = own(tmp_path, 'kind = "chilli", percent_flour_over = 1')
    assert len(table) == len(shipped_cautions()) + 1
    assert cautions_for([], ["chilli"], [], {"chilli": 2.0}, table)[0] == "Hot."
    assert "Hot." not in cautions_for([], ["chilli"], [], {"chilli": 0.5}, table)
    assert "Hot." not in cautions_for([], [], [], {"chilli": 2.0}, table)
    replaced = own(tmp_path, "always = true", ROW.replace('"chili"', '"mould"'))
    assert len(replaced) == len(shipped_cautions())
    assert not any("Mould" in text for text in cautions_for([], [], [], {}, replaced))


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("", "when names nothing"),
        ('always = true, kind = "chilli"', "when names nothing, or names something beside always"),
        ('allergen = "gluten", percent_flour_over = 3', "percent_flour_over without"),
        ("percent_flour_over = 3", "names nothing"),
        ('kind = "chilli", percent_flour_over = -3', "percent_flour_over"),
        ('colour = "red"', "colour is not a key"),
        ("ingredient = [1]", "not a list of texts"),
        ("ingredient = 3", "not a text"),
    ],
)
def test_a_bad_row_names_file_entry_and_key(tmp_path, when, said):
    with pytest.raises(InputProblem) as caught:
        own(tmp_path, when)
    line = str(caught.value)
    assert said in line
    assert "cautions.toml, caution 'chili'" in line
    assert "\n" not in line


def test_a_missing_source_and_a_key_twice(tmp_path):
    with pytest.raises(InputProblem, match="source is missing"):
        own(tmp_path, "always = true", ROW.replace('source = "us"\n', ""))
    with pytest.raises(InputProblem, match="twice"):
        own(tmp_path, "always = true", ROW * 2)


def test_a_row_says_when_and_counts_nothing_for_what_has_no_weight(tmp_path):
    with pytest.raises(InputProblem, match="when is missing") as caught:
        own(tmp_path, "", ROW.replace("when = { WHEN }\n", ""))
    assert caught.value.right == "when = { always = true }"
    table = own(tmp_path, 'ingredient = ["pepper", "chilli"], percent_flour_over = 0.5')
    assert "Hot." not in cautions_for(["pepper", "chilli"], [], [], {"chilli": 0.5}, table)
    assert "Hot." in cautions_for(["pepper", "chilli"], [], [], {"chilli": 0.51}, table)
    assert "Hot." not in cautions_for(["pepper"], [], [], {"chilli": 3.0}, table)

"""How long and how warm a preferment or sourdough stands: by the sentences of the method, or overnight.

"Overnight" is no number of hours, so that what is assumed is asked about and noted.
"""

from __future__ import annotations

import re
from dataclasses import replace

from adapter.recipes.method import hours_and_warmth, sentences
from adapter.recipes.read_recipe import PREFERMENT, ReadRecipe
from adapter.recipes.weighing import measures
from adapter.recipes.words import Words, plain, vocabulary

LED_KINDS = (PREFERMENT, "sourdough")


def with_nights(recipe: ReadRecipe) -> ReadRecipe:
    """The recipe with hours and warmth of each preferment that stands overnight; those not told are in doubt."""
    words = vocabulary().languages[recipe.language]
    stages = dict.fromkeys(line.stage for line in recipe.lines if line.stage.startswith(PREFERMENT))
    nights: dict[str, tuple[float, float]] = {}
    doubts = []
    for stage in stages:
        text = recipe.stages.get(stage, "")
        if not words.pattern("overnight").search(text) and len(stages) == 1:
            told = (
                said for said in _sentences_of(PREFERMENT, recipe, words) if words.pattern("overnight").search(said)
            )
            text = " ".join(told)
        if not words.pattern("overnight").search(text):
            continue
        hours, warmth = hours_and_warmth(text, words)
        if hours is not None and warmth is not None:
            continue
        night = measures().night
        place_c = night["fridge_c"] if words.pattern("fridge_words").search(text) else night["room_c"]
        assumed = [f"{night['hours']:g} h"] * (hours is None) + [f"{place_c:g} °C"] * (warmth is None)
        nights[stage] = (night["hours"] if hours is None else hours, place_c if warmth is None else warmth)
        doubts.append(f"{stage} stands overnight: {' at '.join(assumed)} assumed")
    return replace(recipe, nights=nights, doubts=(*recipe.doubts, *doubts), assumed=(*recipe.assumed, *doubts))


def with_led_stages(recipe: ReadRecipe) -> ReadRecipe:
    """The recipe with what a sentence of its method says of the one sourdough or preferment there is: "let the
    sourdough ripen at 26 °C for 14 hours".
    """
    words = vocabulary().languages[recipe.language]
    led = dict(recipe.stages)
    for kind in LED_KINDS:
        stages = [stage for stage in dict.fromkeys(line.stage for line in recipe.lines) if stage.startswith(kind)]
        if len(stages) != 1 or any(hours_and_warmth(led.get(stages[0], ""), words)):
            continue
        told = [said for said in _sentences_of(kind, recipe, words) if all(hours_and_warmth(said, words))]
        if len(told) == 1:
            led[stages[0]] = f"{led.get(stages[0], '')} {told[0]}"
    return replace(recipe, stages=led)


def _sentences_of(kind: str, recipe: ReadRecipe, words: Words) -> list[str]:
    """Sentences of the text that tell of a kind of stage alone: in them, or in what stands before, it is named."""
    found = []
    for note in recipe.notes:
        named: set[str] = set()
        for sentence in sentences(note):
            here = {words.stages[plain(word[0])] for word in words.stage_words.finditer(sentence)}
            named = here or named
            if named == {kind}:
                found.append(re.sub(r"\s+", " ", sentence))
    return found

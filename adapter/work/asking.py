"""What a person has asked of a loaf so far, typed bit by bit; the same wishes as those of the command line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from adapter.dough.readings.registry import BY_KEY, key_of
from adapter.formula.plain_text import clean
from adapter.formula.problems import InputProblem
from adapter.swaps.ruled_out import Without, meant_by, ruled_out_by
from adapter.swaps.wishes import MOST_SWAPS, MOST_WAYS, Aim, Wishes, read_aim, shown_value
from adapter.work.formula_data import text

if TYPE_CHECKING:
    from adapter.formula.pantry import Pantry
    from adapter.swaps.swapper import Swapper

WAYS = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """Words after "without", aims as they are typed, swaps refused and pinned by name, how many answers."""

    from_store: bool = True
    without: tuple[str, ...] = ()
    aims: tuple[str, ...] = ()
    refused: frozenset[str] = frozenset()
    pinned: frozenset[str] = frozenset()
    ways: int = WAYS
    most_swaps: int | None = None

    @property
    def is_nothing(self) -> bool:
        """Whether there is nothing to be met."""
        return not (self.from_store or self.without or self.aims or self.pinned)

    @property
    def is_begun(self) -> bool:
        """Whether anything was asked that would be lost."""
        return self != Asked(from_store=self.from_store)

    def aim_of(self, key: str) -> str | None:
        """The aim for a reading, as it was typed."""
        return next((aim for aim in self.aims if aim_key(aim) == key), None)

    def with_aim(self, text: str) -> Asked:
        """With an aim, in place of one for the same reading."""
        key = aim_key(text)
        if self.aim_of(key) is None:
            return replace(self, aims=(*self.aims, text))
        return replace(self, aims=tuple(text if aim_key(aim) == key else aim for aim in self.aims))

    def allowing(self, word: str) -> Asked:
        """Without a word of those after "without"."""
        return replace(self, without=tuple(each for each in self.without if each != word))

    def without_aim(self, text: str) -> Asked:
        return replace(self, aims=tuple(aim for aim in self.aims if aim != text))

    def ticked(self, swap: str) -> Asked:
        """A swap that was free is refused, a refused one pinned, a pinned one free again."""
        if swap in self.refused:
            return replace(self, refused=self.refused - {swap}, pinned=self.pinned | {swap})
        if swap in self.pinned:
            return replace(self, pinned=self.pinned - {swap})
        return replace(self, refused=self.refused | {swap})

    def freed(self, swap: str) -> Asked:
        return replace(self, refused=self.refused - {swap}, pinned=self.pinned - {swap})

    def with_ways(self, by: int) -> Asked:
        return replace(self, ways=min(MOST_WAYS, max(1, self.ways + by)))

    def with_most_swaps(self, by: int) -> Asked:
        """One swap more or fewer; beyond the most there is no bound."""
        most = MOST_SWAPS + 1 if self.most_swaps is None else self.most_swaps
        if self.most_swaps is None and by < 0:
            most = 6
        most = max(0, most + by)
        return replace(self, most_swaps=None if most > MOST_SWAPS else most)


def asked_data(asked: Asked) -> dict[str, Any]:
    """What was asked, as plain data for a draft."""
    return {
        "from_store": asked.from_store,
        "without": list(asked.without),
        "aims": list(asked.aims),
        "refused": sorted(asked.refused),
        "pinned": sorted(asked.pinned),
        "ways": asked.ways,
        "most_swaps": asked.most_swaps,
    }


def asked_from_data(data: Any) -> Asked:
    """The same again. Raises ValueError, TypeError or KeyError for data of another shape."""
    lists = {key: tuple(text(each) for each in data[key]) for key in ("without", "aims", "refused", "pinned")}
    most = None if data["most_swaps"] is None else min(MOST_SWAPS, max(0, int(data["most_swaps"])))
    return Asked(
        bool(data["from_store"]),
        lists["without"],
        lists["aims"],
        frozenset(lists["refused"]),
        frozenset(lists["pinned"]),
        min(MOST_WAYS, max(1, int(data["ways"]))),
        most,
    )


def aim_question(key: str) -> str:
    """What is asked where an aim for a reading is typed."""
    reading = BY_KEY[key]
    return f"{reading.label}{', ' + reading.short_unit if reading.short_unit else ''}: what is it to be?"


def aim_key(typed: str) -> str:
    return key_of(typed.partition("=")[0])


@dataclass(frozen=True)
class Asking:
    """The formula that is asked about, with what is needed to understand a wish."""

    swapper: Swapper
    pantry: Pantry | None
    words: Mapping[str, Without]

    def wishes(self, asked: Asked) -> Wishes:
        """Everything asked, for the programme. Raises InputProblem for a wish that cannot be understood."""
        catalogue = self.swapper.kitchen.catalogue
        ruled_out, words_of = ruled_out_by(asked.without, catalogue, self.words)
        return Wishes(
            self.pantry if asked.from_store else None,
            asked.without,
            ruled_out,
            tuple(self.aim(text) for text in asked.aims),
            (),
            asked.ways,
            asked.most_swaps,
            asked.refused,
            asked.pinned,
            words_of=words_of,
        )

    def aim(self, text: str) -> Aim:
        return read_aim(text, self.swapper.measured, self.pantry)

    def added(self, asked: Asked, typed: str) -> Asked:
        """With a wish as it is typed: "salt=1.6", "without milk" or just "milk". Raises InputProblem."""
        text = clean(typed).strip()
        if "=" in text:
            key, _, value = text.partition("=")
            self.aim(text)
            return asked.with_aim(f"{aim_key(key)}={value.strip()}")
        word = text.removeprefix("without ").removeprefix("no ").strip()
        if not word:
            raise InputProblem("nothing is wished", right="such as milk, nuts, salt=1.6 or sweetness=-30%")
        meant_by(word, self.swapper.kitchen.catalogue, self.words)
        return replace(asked, without=tuple(dict.fromkeys((*asked.without, word))))

    def nudged(self, asked: Asked, key: str, by: int) -> Asked:
        """An aim for a reading, moved by what a baker notices; from where it is now when there is none."""
        measured = self.swapper.measured
        tolerance = measured.kitchen.tolerances.get(key)
        if tolerance is None:
            raise InputProblem(f"{key} cannot be moved by a step", right="type a value: a digit does")
        now = measured.value(key)
        step = tolerance.value * (now / 100.0 if BY_KEY[key].percent_of_book else 1.0)
        text = asked.aim_of(key)
        start = self.aim(text).low if text is not None else now
        value = max(0.0, shown_value(key, start + by * step))
        return asked.with_aim(f"{key}={value:g}")

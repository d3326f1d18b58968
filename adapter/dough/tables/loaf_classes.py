"""Classes of loaf: core, loss, wait, keeping, and how a loaf of that kind springs and fills a tin.

All of it is ranges from loaf_classes.toml, each row with its reason, its tag and its source. A baker's own table
lies over the shipped one: a row of the same name replaces it, a new one is tried first.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from adapter.dough.models.oven import COLDEST_OVEN_C, HOTTEST_OVEN_C, START_RANGE_C
from adapter.dough.models.oven_kinds import HEARTH, KINDS
from adapter.formula.problems import InputProblem
from adapter.formula.row import Row, keys_of
from adapter.formula.tables import Table

TABLE = Table("loaf_classes.toml", "loaf_class", "classes of loaf", own_first=True)
TABLES = (TABLE,)
LEAST_CORE_C = 94.0
HIGHEST_CORE_C = 99.5

RETIRED = frozenset(("density_g_ml", "rise", "retention"))
"""Keys that an own table may still have: the dough's models say these things by its flour and the formula's proof."""

_RANGES = ("loss_percent", "wait_h", "keeps_d", "spring")


@dataclass(frozen=True, slots=True)
class Range:
    """From where to where a figure of the table goes, ends included."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2.0


@dataclass(frozen=True, slots=True)
class LoafClass:
    """A row of loaf_classes.toml. None under lidded and in_tin: either; under the limits: no limit.

    `fill` is None for loaves that stand in no tin.
    """

    name: str
    min_rye: float
    max_rye: float
    lidded: bool | None
    in_tin: bool | None
    min_bake_h: float | None
    max_piece_g: float | None
    min_sugar_fat: float | None
    core_c: float
    loss_percent: Range
    wait_h: Range
    keeps_d: Range
    spring: Range
    fill: Range | None
    default_rise_percent: float
    default_proof_c: float
    default_oven_c: float
    why: str
    tag: str
    source: str
    oven: str = HEARTH


@cache
def shipped_loaf_classes() -> tuple[LoafClass, ...]:
    """The classes that ship with the program, in the order they are tried."""
    return load_loaf_classes()


def load_loaf_classes(own_folders: Iterable[Path] = ()) -> tuple[LoafClass, ...]:
    """loaf_classes.toml, in the order in which classes are tried. Raises InputProblem."""
    return TABLE.load(own_folders, _loaf_class)


def choose_class(
    rye_share: float,
    lidded: bool,
    in_tin: bool,
    bake_hours: float | None = None,
    piece_g: float | None = None,
    sugar_fat_percent: float = 0.0,
    classes: Iterable[LoafClass] | None = None,
) -> LoafClass:
    """The first class that fits.

    `rye_share` and `sugar_fat_percent` (sugar and fat together) are % of the flour, as the readings are; `piece_g`
    is the dough of one piece. A class with a limit on something unknown (None) does not fit. Raises ValueError for a
    share outside 0 to 100, InputProblem where no class fits.
    """
    rye_share = round(rye_share, 6)  # a share that is worked out from grams may miss a limit by its last digits
    if not 0.0 <= rye_share <= 100.0:
        raise ValueError(f"a rye share of {rye_share:g} % is not between 0 and 100")
    for loaf_class in shipped_loaf_classes() if classes is None else classes:
        if (
            _rye_fits(loaf_class, rye_share)
            and loaf_class.lidded in (None, lidded)
            and loaf_class.in_tin in (None, in_tin)
            and _at_least(bake_hours, loaf_class.min_bake_h)
            and _at_most(piece_g, loaf_class.max_piece_g)
            and _at_least(sugar_fat_percent, loaf_class.min_sugar_fat)
        ):
            return loaf_class
    raise InputProblem(
        f"no class fits a loaf with {rye_share:.0f} % rye",
        file=TABLE.file,
        right="a class without narrow limits at the end",
    )


def _rye_fits(loaf_class: LoafClass, rye_share: float) -> bool:
    return loaf_class.min_rye <= rye_share and (rye_share < loaf_class.max_rye or loaf_class.max_rye >= 100.0)


def _at_least(value: float | None, limit: float | None) -> bool:
    return limit is None or (value is not None and value >= limit)


def _at_most(value: float | None, limit: float | None) -> bool:
    return limit is None or (value is not None and value <= limit)


def _loaf_class(row: Row) -> LoafClass:
    row.known_keys(keys_of(LoafClass) | RETIRED)
    min_rye, max_rye = row.number("min_rye"), row.number("max_rye")
    if not 0.0 <= min_rye < max_rye <= 100.0:
        raise row.fault("min_rye", f"{min_rye:g} to {max_rye:g} is not a range", "0 <= min_rye < max_rye <= 100")
    core_c = row.number("core_c")
    if not LEAST_CORE_C <= core_c <= HIGHEST_CORE_C:
        raise row.fault("core_c", f"is {core_c:g}", f"{LEAST_CORE_C:g} to {HIGHEST_CORE_C:g} °C")
    oven = row.text("oven", HEARTH)
    if oven not in KINDS:
        raise row.fault("oven", f"{oven!r} is unknown", "one of " + ", ".join(KINDS))
    made = LoafClass(
        oven=oven,
        name=row.text("name"),
        min_rye=min_rye,
        max_rye=max_rye,
        lidded=_either(row, "lidded"),
        in_tin=_either(row, "in_tin"),
        min_bake_h=row.maybe_number("min_bake_h"),
        max_piece_g=row.maybe_number("max_piece_g"),
        min_sugar_fat=row.maybe_number("min_sugar_fat"),
        core_c=core_c,
        fill=_range(row, "fill") if row.has("fill") else None,
        default_rise_percent=row.number("default_rise_percent", low=1.0, high=400.0),
        default_proof_c=row.number("default_proof_c", low=START_RANGE_C[0], high=START_RANGE_C[1]),
        default_oven_c=row.number("default_oven_c", low=COLDEST_OVEN_C, high=HOTTEST_OVEN_C),
        why=row.text("why"),
        tag=row.tag(),
        source=row.text("source"),
        **{key: _range(row, key) for key in _RANGES},
    )
    if made.in_tin is not False and made.fill is None:
        raise row.fault("fill", "is missing", "fill = [0.90, 0.97], or in_tin = false")
    return made


def _either(row: Row, key: str) -> bool | None:
    value = row.data.get(key)
    if value == "any":
        return None
    if not isinstance(value, bool):
        raise row.fault(key, "is missing or unclear", 'true, false or "any"')
    return value


def _range(row: Row, key: str) -> Range:
    right = f"{key} = [low, high], both above zero"
    if not isinstance(row.data.get(key), list) or len(row.data[key]) != 2:
        raise row.fault(key, "is not a range", right)
    low, high = row.list_of_numbers(key)
    if not 0.0 < low <= high < 1e6:
        raise row.fault(key, f"{low:g} to {high:g} is not a range", right)
    return Range(low, high)

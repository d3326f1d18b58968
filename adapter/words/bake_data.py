"""The shapes of what is told of a bake: what JSON holds, and what the text and the Bake screen are made from."""

from __future__ import annotations

from typing import TypedDict

from adapter.words.report_data import AmountData


class RangeData(TypedDict):
    low: float
    high: float


class SpanData(TypedDict):
    """A number with its range; null where there is none, as the hours of a dough that does not rise."""

    low: float | None
    value: float | None
    high: float | None


class PlaceData(TypedDict):
    hours: float
    temperature_c: float


class StageStepData(TypedDict):
    at_h: float
    do: str
    amounts: list[AmountData]


class StageData(TypedDict):
    """One warmth is a number, several are a list, as in a formula file."""

    stage: str
    kind: str
    hours: float
    temperature_c: float | list[PlaceData]
    ph: float
    tta: float
    rise_percent: float
    ripe_h: SpanData | None
    steps: list[StageStepData]


class ClockData(TypedDict):
    at: str
    step: str


class CalibrationData(TypedDict):
    """What the log of this kitchen says of the model: factors, their relative half-widths, how many bakes speak."""

    gas_factor: float
    gas_spread: float
    rises: int
    oven_factor: float
    oven_spread: float
    oven_bakes: int
    souring_factor: float
    raising_factor: float
    ripenings: int


class BakeData(TypedDict, total=False):
    """One logged bake; what was not measured has no key."""

    at: str
    formula: str
    dough_c: float
    proof_c: float
    rise_h: float
    rise_percent: float
    bake_min: float
    core_c: float
    crumb: str
    notes: str
    mark: int
    stage: str
    stage_ph: float
    stage_tta: float
    peak_h: float


_LoafClass = TypedDict("_LoafClass", {"class": str, "class_why": str})


class BakePageData(_LoafClass):
    liquid_temperature_c: float | None
    ice_g: float
    dough_temperature_c: float
    wanted_dough_c: float
    liquid_reachable: bool
    liquid_note: str
    liquid_hint: str
    rule_of_factors_c: float
    why_rule_differs: str
    dough_g: float
    pieces: int
    piece_g: float
    tin_volume_l: float | None
    tin_fill: float | None
    tin_suits_g: float | None
    yeast_g: float
    proof_h: SpanData
    proof_c: float
    proof_place_c: float
    rise_percent: float
    bake_min: SpanData
    recipe_bake_min: float | None
    oven_c: float
    core_c: float
    crumb_warms_c_per_min: float
    starch_attack: float
    loss_percent: RangeData
    wait_h: RangeData
    keeps_d: RangeData
    plan: list[ClockData]
    stages: list[StageData]
    notes: list[str]
    cautions: list[str]
    kitchen: CalibrationData
    bakes: list[BakeData]

"""`bake` and `log`: the plan forward and backward, what cannot be, and what a logged bake changes."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

Data = Callable[..., Any]
Refused = Callable[..., str]


def times(data: Any) -> list[tuple[datetime, str]]:
    return [(datetime.strptime(step["at"], "%Y-%m-%d %H:%M"), step["step"]) for step in data["plan"]]


def soon(**later: float) -> str:
    return f"{datetime.now() + timedelta(**later):%Y-%m-%d %H:%M}"


def test_the_everyday_loaf(data: Data, dark: str) -> None:
    """1.8 kg in a lidded tin at 175 °C to 98 °C: about two hours, then at least a day. Common practice, no source."""
    found = data("bake", dark)
    assert found["tin_volume_l"] == pytest.approx(2.30, abs=0.01)
    assert found["core_c"] == 98
    assert 100 <= found["bake_min"]["value"] <= 140
    assert found["bake_min"]["low"] == pytest.approx(0.8 * found["bake_min"]["value"], rel=0.01)
    assert found["wait_h"]["low"] >= 24
    assert 0.80 < found["tin_fill"] < 0.97


def test_the_plan_starts_when_it_is_told_to(data: Data, dark: str) -> None:
    start = datetime.now() + timedelta(hours=2)
    plan = times(data("bake", dark, "--start", f"{start:%H:%M}"))
    assert plan[0][0] == start.replace(second=0, microsecond=0)
    assert all(first[0] <= second[0] for first, second in pairwise(plan))
    assert plan[-1][1] == "may be sliced"


def test_a_start_earlier_in_the_day_is_tomorrows(data: Data, dark: str) -> None:
    start = datetime.now() - timedelta(hours=1)
    first = times(data("bake", dark, "--start", f"{start:%H:%M}"))[0][0]
    assert first > datetime.now()
    assert f"{first:%H:%M}" == f"{start:%H:%M}"


def test_the_plan_ends_when_it_is_to_be_ready(data: Data, dark: str) -> None:
    ready = soon(days=5)
    found = data("bake", dark, "--ready", ready)
    assert f"{times(found)[-1][0]:%Y-%m-%d %H:%M}" == ready
    hours = {step: at for at, step in times(found)}
    waited, told_to = hours["may be sliced"] - hours["out of the oven"], timedelta(minutes=5)
    low, high = (timedelta(hours=found["wait_h"][end]) for end in ("low", "high"))
    assert low - told_to <= waited <= high + told_to
    baked = (hours["out of the oven"] - hours["into the oven"]).total_seconds() / 60
    assert all(at.minute % 5 == 0 for at, _ in times(found)[:-1])
    assert baked == pytest.approx(found["bake_min"]["value"], abs=5.01)  # both ends are told to five minutes
    proved = (hours["into the oven"] - hours["shape and put to proof"]).total_seconds() / 3600
    assert proved > found["proof_h"]["value"]


def test_the_text_says_what_the_data_say(data: Data, ok: Callable[..., str], dark: str) -> None:
    ready = soon(days=5)
    found, text = data("bake", dark, "--ready", ready), ok("bake", dark, "--ready", ready)
    for step in found["plan"]:
        assert f"{step['at']}  {step['step']}" in text
    for caution in found["cautions"]:
        assert caution in text
    assert f"{found['bake_min']['value']:.0f} min" in text
    assert f"{found['proof_h']['value']:.1f} h" in text
    assert f"{100 * found['tin_fill']:.0f} % full" in text


def test_inputs_move_what_depends_on_them(data: Data, plain: Path) -> None:
    usual = data("bake", plain)
    cold = data("bake", plain, "--fridge-c", "2", "--room-c", "14")
    assert cold["liquid_temperature_c"] > usual["liquid_temperature_c"]
    assert data("bake", plain, "--oven-c", "250")["bake_min"]["value"] < usual["bake_min"]["value"]
    assert data("bake", plain, "--core-c", "98.5")["bake_min"]["value"] > usual["bake_min"]["value"]
    assert data("bake", plain, "--proof-c", "20")["proof_h"]["value"] > usual["proof_h"]["value"]
    assert data("bake", plain, "--rise-percent", "40")["proof_h"]["value"] < usual["proof_h"]["value"]
    warm = data("bake", plain, "--dough-c", "30")
    assert warm["liquid_temperature_c"] > usual["liquid_temperature_c"]
    assert data("bake", plain, "--machine")["liquid_temperature_c"] < usual["liquid_temperature_c"]
    hot = data("bake", plain, "--room-c", "34", "--dough-c", "18", "--tap-c", "25")
    assert hot["ice_g"] > 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--room-c", "900"], "900"),
        (["--room-c", "-80"], "-80"),
        (["--tap-c", "120"], "120"),
        (["--dough-c", "80"], "80"),
        (["--proof-c", "80"], "80"),
        (["--rise-percent", "0"], "rise of 0"),
        (["--rise-percent", "9000"], "9000"),
        (["--oven-c", "100"], "oven at 100"),
        (["--oven-c", "104.9"], "oven"),
        (["--core-c", "99.9"], "99.5"),
        (["--core-c", "nan"], "no number"),
        (["--core-c", "inf"], "no number"),
        (["--core-c", "hot"], "no number"),
        (["--start", "25:00"], "clock"),
        (["--start", "nine"], "clock"),
        (["--ready", "2020-01-01 08:00"], "past"),
        (["--ready", "Saturday"], "no date"),
        (["--ready", "2030-02-30 08:00"], "no date"),
        (["--start", "09:00", "--ready", "2030-01-01 08:00"], "not allowed with"),
    ],
)
def test_what_cannot_be(refused: Refused, dark: str, words: list[str], said: str) -> None:
    assert said in refused("bake", dark, *words)


def test_ready_too_soon_says_the_earliest(refused: Refused, dark: str) -> None:
    assert "the earliest is" in refused("bake", dark, "--ready", soon(hours=3))


def test_a_tin_smaller_than_its_dough(refused: Refused, written: Callable[..., Path]) -> None:
    lines = {"wholemeal rye flour": 1000, "water": 800, "salt": 18, "fresh yeast": 10}
    path = written(lines, more="[tin]\nlength_cm = 12\nwidth_cm = 8\nheight_cm = 8\nlidded = true\n")
    assert "tin" in refused("bake", path)


def test_nothing_raises_it(data: Data, ok: Callable[..., str], written: Callable[..., Path]) -> None:
    path = written({"wholemeal rye flour": 500, "water": 400})
    found = data("bake", path)
    assert found["proof_h"]["value"] is None
    assert found["plan"] == []
    assert any("does not rise" in note for note in found["notes"])
    assert "does not rise" in ok("bake", path)


# --- the log ------------------------------------------------------------------------------------------------------


def test_a_bake_is_kept_beside_its_formula(ok: Callable[..., str], data: Data, plain: Path) -> None:
    text = ok("log", plain, "--rise-h", "1.5", "--rise-percent", "60", "--dough-c", "26", "--core-c", "97",
              "--bake-min", "55", "--crumb", "close", "--notes", "a little dry", "--mark", "4")  # fmt: skip
    log = plain.with_name("loaf.bakes.toml")
    assert text.startswith(f"{log}:\n")
    with log.open("rb") as file:
        bake = tomllib.load(file)["bake"][0]
    assert bake["formula"] == "plain loaf"
    wanted = {"rise_h": 1.5, "rise_percent": 60, "dough_c": 26, "core_c": 97, "bake_min": 55, "mark": 4}
    assert {key: bake[key] for key in wanted} == wanted
    assert bake["crumb"] == "close"
    ok("log", plain, "--mark", "5")
    found = data("bake", plain)
    assert [item.get("mark") for item in found["bakes"]] == [4, 5]
    assert "a little dry" in ok("bake", plain)


def test_a_logged_rise_moves_the_next_prediction_towards_it(ok: Callable[..., str], data: Data, plain: Path) -> None:
    before = data("bake", plain)
    rise = before["rise_percent"]
    observed = 2 * before["proof_h"]["value"]
    for _ in range(3):
        ok("log", plain, "--rise-h", f"{observed:.2f}", "--rise-percent", f"{rise:g}", "--dough-c", before["proof_c"])
    after = data("bake", plain)
    assert before["proof_h"]["value"] < after["proof_h"]["value"] < 1.2 * observed
    assert after["proof_h"]["value"] > 1.3 * before["proof_h"]["value"]


def test_every_command_follows_the_log(ok: Callable[..., str], data: Data, plain: Path) -> None:
    words = ("swap", plain, "--out", "honey", "--into", "malt syrup")
    before, bake = data("balance", plain)["readings"]["rise_time"], data("bake", plain)
    slowly = f"{2 * bake['proof_h']['value']:.2f}"
    ok("log", plain, "--rise-h", slowly, "--rise-percent", bake["rise_percent"], "--dough-c", bake["proof_c"])
    after = data("balance", plain)["readings"]["rise_time"]
    assert after["value"] > 1.1 * before["value"]
    assert data("compare", plain, plain)["variants"][0]["readings"]["rise_time"] == after
    assert data(*words)["changes"]["rise_time"]["before"] == after["value"]
    assert ok("why", plain, "rise_time").startswith(f"rise time {after['value']:.1f} ± {after['spread']:.1f} h\n")
    assert "[own:" in ok("why", plain, "rise_time")


def test_a_logged_bake_moves_the_next_minutes(ok: Callable[..., str], data: Data, plain: Path) -> None:
    before = data("bake", plain)
    words = ("--bake-min", f"{1.15 * before['bake_min']['value']:.0f}", "--core-c", before["core_c"])
    for _ in range(3):
        ok("log", plain, *words, "--oven-c", before["oven_c"])
    assert data("bake", plain)["bake_min"]["value"] > 1.03 * before["bake_min"]["value"]


def test_a_sample_is_logged_among_the_bakers_own_things(
    ok: Callable[..., str], data: Data, dark: str, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ok("log", dark, "--mark", "5")
    assert [path.name for path in tmp_path.iterdir()] == ["home"]
    assert (home / "formulas" / "hut_everyday_loaf.bakes.toml").is_file()
    assert [item["mark"] for item in data("bake", dark)["bakes"]] == [5]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "nothing was measured"),
        (["--notes", "  "], "nothing was measured"),
        (["--mark", "6"], "1 to 5"),
        (["--mark", "0"], "1 to 5"),
        (["--mark", "four"], "four"),
        (["--dough-c", "90"], "90 °C cannot be"),
        (["--core-c", "120"], "120 °C cannot be"),
        (["--oven-c", "60"], "60 °C cannot be"),
        (["--bake-min", "-5"], "-5 min cannot be"),
        (["--rise-h", "0.1"], "0.1 h cannot be"),
        (["--rise-h", "0.25"], "0.25 h cannot be"),
        (["--rise-h", "nan"], "no number"),
        (["--rise-h", "1e9"], "cannot be"),
        (["--rise-percent", "100000"], "100000 % cannot be"),
    ],
)
def test_what_cannot_have_been_measured(refused: Refused, plain: Path, words: list[str], said: str) -> None:
    assert said in refused("log", plain, *words)
    assert not plain.with_name("loaf.bakes.toml").exists()


def test_notes_of_a_log_are_harmless(ok: Callable[..., str], plain: Path) -> None:
    text = ok("log", plain, "--notes", "a\x1b[31mred\x07 [b]x[/b] \u202eback\nsecond", "--crumb", "\x9b2J")
    assert "a[31mred [b]x[/b] back second" in text
    assert all(line.isprintable() for line in text.split("\n"))
    assert "\x1b" not in plain.with_name("loaf.bakes.toml").read_text(encoding="utf-8")


def test_a_broken_log_is_named_and_not_written_over(refused: Refused, data: Data, plain: Path, home: Path) -> None:
    log = plain.with_name("loaf.bakes.toml")
    log.write_text("no TOML\n")
    assert "loaf.bakes.toml" in refused("log", plain, "--mark", "4")
    assert "loaf.bakes.toml" in refused("bake", plain)
    assert log.read_text() == "no TOML\n"


def test_a_broken_log_of_another_formula_is_told_and_left_out(data: Data, plain: Path) -> None:
    plain.with_name("other.bakes.toml").write_text("no TOML\n")
    assert any("other.bakes.toml" in note for note in data("bake", plain)["notes"])


def test_a_day_that_is_kept_has_the_proof_and_oven_it_was_planned_with(
    ok: Callable[..., str], data: Data, tmp_path: Path
) -> None:
    """Those of the class of loaf too, and the command says what it wrote."""
    own, kept = tmp_path / "own.toml", tmp_path / "kept.toml"
    own.write_text(
        '[formula]\nname = "white"\n[[line]]\ningredient = "bread flour"\ngrams = 500\n'
        '[[line]]\ningredient = "water"\ngrams = 320\n'
        '[[line]]\ningredient = "fresh yeast"\ngrams = 10\n'
    )
    assert f"{kept} written" in ok("bake", own, "--rise-percent", 90, "--save", kept)
    written = tomllib.loads(kept.read_text())
    planned = data("bake", own)
    assert written["proof"] == {"temperature_c": 27, "rise_percent": 90}, "as its class of loaf has it"
    assert written["bake"] == {"oven_c": planned["oven_c"], "core_c": planned["core_c"]}

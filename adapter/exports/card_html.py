"""A card for readers as a page of HTML that prints on one sheet of A4: no script, nothing fetched, all text escaped.

Levels are drawn as tracks and the day as a bar, in shapes that tell the same in black and white.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from html import escape
from itertools import pairwise

from adapter.exports.form import FormulaForm
from adapter.formula.plain_text import clean
from adapter.words.reader_card import EACH_ALONE, GRAMS_COUNT, HOW_SURE, CardReading, CardTime, ReaderCard, reader_card

TRACK_WIDTH, TRACK_HEIGHT, BRACKET = 110, 12, 24
FARTHEST_STEPS = 6.0
"""Changes, in what a baker notices, at which the bubble stands at the end of its track."""
LARGEST_PT, SMALLEST_PT = 9.2, 6.0
SHEET_PT = 735.0
"""What an A4 sheet holds between its margins, less a little."""
TWO_OPTIONS_PT = 7.0
BAR_WIDTH, BAR_HEIGHT = 700, 54

STYLE = """
@page { size: A4; margin: 11mm 13mm }
* { box-sizing: border-box }
body { margin: 0 auto; max-width: 184mm; padding: 6mm 0; color: #2b1d14; background: #fff;
       font: 9.2pt/1.3 "Iowan Old Style", Palatino, Georgia, "DejaVu Serif", serif }
header { border-bottom: 2.5pt solid #5b3a21; padding-bottom: 2mm; margin-bottom: 3mm }
h1 { font-size: 2.1em; line-height: 1.1; margin: 0 0 1mm; letter-spacing: -.01em }
header p { margin: 0; color: #6a4c35 }
h2 { font-size: 1.08em; margin: 1em 0 .3em; color: #5b3a21; text-transform: uppercase; letter-spacing: .08em;
     break-after: avoid }
p, ul, ol { margin: 0 0 .35em } ul, ol { padding-left: 1.5em } li { margin-bottom: .1em }
table { border-collapse: collapse; width: 100% }
td, th { padding: .35mm 1.6mm .35mm 0; vertical-align: baseline; text-align: left; font-weight: normal }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap }
tbody tr { border-bottom: .4pt solid #dccbb7 } thead th { color: #6a4c35; border-bottom: .8pt solid #5b3a21 }
tr.stage th { padding-top: 1.2mm; font-style: italic; color: #5b3a21 }
.weight { font-weight: bold } .options { columns: 2; column-gap: 8mm; font-size: .92em }
.day { columns: 2; column-gap: 8mm; font-size: .94em; margin-top: .3em }
.note, .small { color: #6a4c35; font-size: .88em }
.columns { display: grid; grid-template-columns: 1.02fr 1fr; gap: 0 8mm }
.columns > div { min-width: 0 }
dl { margin: 0; display: grid; grid-template-columns: fit-content(32%) 1fr; gap: .4mm 3mm }
dt { color: #6a4c35 } dd { margin: 0 }
.allergens { border: 1.2pt solid #2b1d14; padding: 1.2mm 2mm; margin: 2mm 0 }
footer { border-top: .8pt solid #5b3a21; margin-top: 3mm; padding-top: 1.4mm; color: #6a4c35; font-size: .82em }
svg { display: block; max-width: 100%; height: auto }
svg text { font: 7.4pt Georgia, "DejaVu Serif", serif; fill: #2b1d14 }
td svg { width: 24mm }
@media screen { body { padding: 9mm 7mm } }
"""


def html_of(told: ReaderCard) -> str:
    """The whole page. Where the print would come out too small, only the better of two options is told."""
    if _font_size(told) < TWO_OPTIONS_PT:
        best = {option.partition(" take ")[0]: option for option in reversed(told.options)}
        told = replace(told, options=tuple(option for option in told.options if option in best.values()))
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            f'<head><meta charset="utf-8"><title>{_text(told.name)}</title>',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<style>{STYLE}</style></head>",
            f'<body style="font-size:{_font_size(told):.1f}pt">',
            _head(told),
            '<div class="columns"><div>',
            _section("What to weigh", _lines(told)),
            "</div><div>",
            _section("How", "".join(f"<p>{_text(text)}</p>" for text in told.method)),
            _section("Tin, proof and oven", _terms(told.baking)),
            "</div></div>",
            _section("When", day_bar(told.times)),
            _section("What to expect", _readings(told)),
            _changes(told),
            _section("If you lack something too", _options(told)),
            _allergens(told),
            _foot(told),
            "</body></html>",
            "",
        ]
    )


def _font_size(told: ReaderCard) -> float:
    """The largest points at which the card keeps to one sheet."""
    sizes = (LARGEST_PT - 0.1 * step for step in range(round((LARGEST_PT - SMALLEST_PT) * 10) + 1))
    return next((size for size in sizes if _height_pt(told, size) <= SHEET_PT), SMALLEST_PT)


def _height_pt(told: ReaderCard, size: float) -> float:
    """How much of a sheet the card is about to fill at a size of print, both in points [F to the samples]."""

    def rows(texts: Iterable[str], at_largest: float) -> int:
        """Rows of texts each of which begins a new one, by the letters that fit into one at the largest print."""
        return sum(1 + int(len(text) * size / (LARGEST_PT * at_largest)) for text in texts)

    row, table_row, head = 1.3 * size, 1.3 * size + 2.4, 2.8 * size
    cups = any(line.cups for stage in told.stages for line in stage.lines)
    named = [f"{line.name} {line.note}" for stage in told.stages for line in stage.lines]
    left = head + (len(told.stages) + 1) * (table_row + 3.4) + rows(named, 26 if cups else 34) * table_row + 2 * row
    right = 2 * head + rows(told.method, 50) * row + 0.35 * size * len(told.method)
    right += sum(max(rows([word], 16), rows([text], 34)) for word, text in told.baking) * row
    height = 34 + 20 + 3.6 * size + max(left, right)
    if told.times:
        height += head + 40 + (len(told.times) + 1) // 2 * row
    height += head + (1 + (len(told.readings) + 1) // 2) * table_row
    if told.credit:
        height += head + rows((*told.changes, told.difference), 100) * row
    if told.options:
        height += head + row + (rows(told.options, 56) / 2 + 1) * row
    return height + 2 * row + 24 + (rows([" ".join(told.cautions), HOW_SURE], 128) + 1) * row


def _text(text: str) -> str:
    return escape(clean(text, 4000), quote=True)


def _section(head: str, content: str) -> str:
    return f"<section><h2>{head}</h2>{content}</section>" if content else ""


def _head(told: ReaderCard) -> str:
    credit = f"<p>Adapted from <em>{_text(told.credit)}</em></p>" if told.credit else ""
    return f"<header><h1>{_text(told.name)}</h1><p>{_text(told.summary)}</p>{credit}</header>"


def _terms(pairs: Sequence[tuple[str, str]]) -> str:
    return f"<dl>{''.join(f'<dt>{_text(word)}</dt><dd>{_text(text)}</dd>' for word, text in pairs)}</dl>"


def _listed(texts: Sequence[str], tag: str = "ul") -> str:
    return f"<{tag}>{''.join(f'<li>{_text(text)}</li>' for text in texts)}</{tag}>" if texts else ""


def _lines(told: ReaderCard) -> str:
    cups = any(line.cups for stage in told.stages for line in stage.lines)
    rows = []
    for stage in told.stages:
        rows.append(f'<tr class="stage"><th colspan="{4 if cups else 3}">{_text(stage.name)}</th></tr>')
        for line in stage.lines:
            note = f' <span class="note">{_text(line.note)}</span>' if line.note else ""
            about = f'<td class="small">{_text(line.cups)}</td>' if cups else ""
            rows.append(
                f'<tr><td class="n weight">{line.grams} g</td><td>{_text(line.name)}{note}</td>{about}'
                f'<td class="n small">{line.percent} %</td></tr>'
            )
    head = '<th class="n">weigh</th><th></th>' + ("<th>about</th>" if cups else "") + '<th class="n">of the flour</th>'
    counted = f'<p class="small">{GRAMS_COUNT}</p>' if told.has_cups else ""
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>{counted}"


def _readings(told: ReaderCard) -> str:
    """In two tables beside each other."""
    half = (len(told.readings) + 1) // 2
    tables = [_table_of(part) for part in (told.readings[:half], told.readings[half:]) if part]
    return f'<div class="columns">{"".join(tables)}</div>{_listed(told.on_purpose)}'


def _table_of(readings: Sequence[CardReading]) -> str:
    rows = []
    for each in readings:
        track = f"<td>{track_of(each)}</td>" if each.steps is not None else ""
        spread = f' <span class="note">± {_text(each.spread)}</span>' if each.spread else ""
        value = f'<td class="n">{_text(each.value)}{spread}</td>'
        usual = f'<td class="n small">{_text(each.usual)}</td>'
        rows.append(f"<tr><td>{_text(each.label)}</td>{value}{track}{usual}</tr>")
    track_head = '<th class="small">against the book</th>' if readings[0].steps is not None else ""
    head = f'<th></th><th></th>{track_head}<th class="n small">usual</th>'
    return f"<div><table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"


def track_of(reading: CardReading) -> str:
    """The level of a reading: the book in the middle, brackets at what a baker notices, a bubble where it is now.

    A bubble is hollow where the change is not clear.
    """
    middle, height = TRACK_WIDTH / 2, TRACK_HEIGHT / 2
    steps = 0.0 if reading.steps is None or math.isnan(reading.steps) else reading.steps
    at = middle + _track_offset(steps, middle - 5)
    fill = "#2b1d14" if reading.clear or not steps else "#fff"
    brackets = "".join(
        f'<path d="M{middle + side * BRACKET - side * 3:g} 1.5h{side * 3}v{TRACK_HEIGHT - 3}h{-side * 3}" fill="none" '
        'stroke="#2b1d14"/>'
        for side in (-1, 1)
    )
    said = _text(f"{reading.label}: {reading.change}")
    return (
        f'<svg viewBox="0 0 {TRACK_WIDTH} {TRACK_HEIGHT}" role="img" aria-label="{said}"><title>{said}</title>'
        f'<path d="M1 {height}H{TRACK_WIDTH - 1}" stroke="#b59b82" stroke-dasharray="2 2"/>'
        f'<path d="M{middle} 2V{TRACK_HEIGHT - 2}" stroke="#b59b82"/>{brackets}'
        f'<circle cx="{at:.1f}" cy="{height}" r="3.2" fill="{fill}" stroke="#2b1d14"/></svg>'
    )


def _track_offset(steps: float, half: float) -> float:
    """From the middle: up to one step within the brackets, beyond it by the logarithm to the track's end."""
    size = abs(steps)
    if size <= 1.0:
        offset = size * (BRACKET - 4)
    else:
        offset = BRACKET + 5 + min(1.0, math.log(size) / math.log(FARTHEST_STEPS)) * (half - BRACKET - 5)
    return math.copysign(offset, steps)


def day_bar(times: Sequence[CardTime]) -> str:
    """The day as a bar: each part as long as it takes, numbered, and the numbers told below."""
    if len(times) < 2 or times[-1].after_h <= 0:
        return ""
    parts = []
    widths = _part_widths([later.after_h - time.after_h for time, later in pairwise(times)])
    at = 0.0
    for number, width in enumerate(widths, start=1):
        fill = ("#f1e6d8", "#cdb091")[number % 2]
        parts.append(
            f'<rect x="{at:.1f}" y="1" width="{width:.1f}" height="24" fill="{fill}" stroke="#5b3a21"/>'
            f'<text x="{at + width / 2:.1f}" y="17" text-anchor="middle">{number}</text>'
        )
        at += width
    parts.append(f'<text x="0" y="40">begin</text><text x="{BAR_WIDTH}" y="40" text-anchor="end">{len(times)}</text>')
    listed = "".join(f"<li>{_text(time.step)}{_at(time)}</li>" for time in times)
    drawn = f'<svg viewBox="0 0 {BAR_WIDTH} {BAR_HEIGHT - 10}" role="img" aria-label="the day as a bar">'
    return f'{drawn}{"".join(parts)}</svg><ol class="day">{listed}</ol>'


def _at(time: CardTime) -> str:
    return f" · {time.when}" if time.clock is not None or time.after_h else ""


def _part_widths(hours: Sequence[float]) -> list[float]:
    """Widths by the hours; a short part keeps room for its number."""
    least = 18.0
    short = [max(each, 0.0) / sum(hours) * BAR_WIDTH < least for each in hours]
    room = BAR_WIDTH - least * sum(short)
    long_h = sum(each for each, is_short in zip(hours, short, strict=True) if not is_short) or 1.0
    return [least if is_short else each / long_h * room for each, is_short in zip(hours, short, strict=True)]


def _changes(told: ReaderCard) -> str:
    if not told.credit:
        return ""
    return _section("What was changed", _listed(told.changes, "ol") + f"<p>{_text(told.difference)}</p>")


def _options(told: ReaderCard) -> str:
    if not told.options:
        return ""
    return f'<p class="small">{EACH_ALONE}</p><div class="options">{_listed(told.options)}</div>'


def _allergens(told: ReaderCard) -> str:
    contains = f"Contains {', '.join(told.allergens)}." if told.allergens else "None of the groups that must be named."
    changes = " ".join(f"<strong>{_text(text)}.</strong>" for text in told.allergen_changes)
    return f'<p class="allergens"><strong>{_text(contains)}</strong> {changes} The packets’ own labels come first.</p>'


def _foot(told: ReaderCard) -> str:
    cautions = " ".join(_text(text) for text in told.cautions)
    return f"<footer><p>{cautions}</p><p>{_text(HOW_SURE)}</p></footer>"


FORM = FormulaForm(
    ".html",
    "card as a page to print",
    4,
    lambda measured, told: html_of(
        reader_card(measured, told.options, told.reasons, cups=told.cups, day=told.timetable)
    ),
    for_readers=True,
)

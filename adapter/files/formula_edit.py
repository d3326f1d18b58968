"""Saving a formula over a person's own file: only what changed is touched, comments and unknown tables stay."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from adapter.files.formula_tables import (
    KNOWN_KEYS,
    LINE_KEYS,
    read_bake,
    read_proof,
    read_reasons,
    read_tin,
)
from adapter.files.stage_tables import STAGE_KEYS, read_stages, stage_tables
from adapter.files.toml.blocks import Block
from adapter.files.toml.edit import (
    blocks_of,
    in_preamble,
    insert_texts,
    joined,
    preamble_without,
    set_entries,
    set_keys,
    set_table,
    without_block,
)
from adapter.files.toml.layout import table_blocks
from adapter.formula.amounts import temperature_c
from adapter.formula.model import DEFAULT_STAGE, Formula
from adapter.formula.plain_text import clean, clean_block
from adapter.formula.row import Row

Canonical = Callable[[str], str]
Tables = Mapping[str, Any]


def edited_text(text: str, data: Tables, formula: Formula, tables: Tables, canonical: Canonical) -> str:
    """The text of a formula file, changed so that it describes another formula.

    `data` is what the text holds, `tables` what it shall hold (see tables_of); `canonical` gives the catalogue's
    name of an ingredient as the person wrote it.
    """
    blocks = blocks_of(text)
    for name in _changed_tables(data, formula, tables):
        blocks = set_table(blocks, (name,), tables.get(name, {}), KNOWN_KEYS.get(name), "line")
    blocks = _set_stages(blocks, data, tables.get("stage", {}))
    blocks = _set_lines(blocks, data.get("line", []), tables["line"], canonical)
    blocks = _set_adapted(blocks, data.get("adapted", {}), tables.get("adapted", {}))
    return joined(blocks, text)


def says_the_same(data: Tables, formula: Formula, tables: Tables, canonical: Canonical) -> bool:
    """Whether what a file holds describes this formula, in whatever way it is written."""
    old, new = data.get("line", []), tables["line"]
    return (
        not _changed_tables(data, formula, tables)
        and stage_tables(read_stages(Row(data, ""))) == tables.get("stage", {})
        and _same_lines(old, new, canonical)
        and all(
            (data.get("adapted", {}).get(key) or None) == tables.get("adapted", {}).get(key)
            for key in ("from", "book", "step")
        )
    )


def _changed_tables(data: Tables, formula: Formula, tables: Tables) -> list[str]:
    old = Row(data, "")
    head = old.part_or_empty("formula", "")
    pieces = head.whole("pieces", 1, 10**9) or 1
    changed = {
        "formula": (head.line_of_text("name"), pieces, head.block("note"))
        != (clean(formula.name), formula.pieces, clean_block(formula.note)),
        "reasons": dict(read_reasons(old)) != tables.get("reasons", {}),
        "tin": read_tin(old) != formula.tin,
        "proof": read_proof(old) != formula.proof,
        "bake": read_bake(old) != formula.bake,
    }
    return [name for name, differs in changed.items() if differs]


def _set_stages(blocks: list[Block], data: Tables, new: Tables) -> list[Block]:
    """The stages' tables; each is changed by itself, and a stage no longer planned loses our keys."""
    old = stage_tables(read_stages(Row(data, "")))
    if old == new:
        return blocks
    written = data.get("stage", {})
    if in_preamble(blocks[0], ("stage",)) or not all(
        _has(blocks, ("stage", name)) or not written.get(name) for name in written
    ):
        # Written inline or as dotted keys: they become tables of their own as soon as one of them changes.
        return _stages_apart(blocks, written, new)
    names = {clean(name): name for name in written}
    for name in dict.fromkeys((*old, *new)):
        if old.get(name) != new.get(name):
            blocks = set_table(blocks, ("stage", names.get(name, name)), new.get(name, {}), STAGE_KEYS, "line")
    return blocks


def _stages_apart(blocks: list[Block], written: Tables, new: Tables) -> list[Block]:
    if in_preamble(blocks[0], ("stage",)):
        blocks = preamble_without(blocks, "stage")
    for at in range(len(blocks) - 1, 0, -1):
        if blocks[at].path[:1] == ("stage",):
            blocks = without_block(blocks, at, "stage")
    kept = {clean(name): {k: v for k, v in table.items() if k not in STAGE_KEYS} for name, table in written.items()}
    tables = {name: kept.get(name, {}) | new.get(name, {}) for name in dict.fromkeys((*kept, *new))}
    at = next((i for i, block in enumerate(blocks) if block.path[:1] == ("line",)), len(blocks))
    texts = [text for name, table in tables.items() if table for text in table_blocks(("stage", name), table)]
    return insert_texts(blocks, at, texts)


def _set_lines(blocks: list[Block], old: list[Tables], new: list[Tables], canonical: Canonical) -> list[Block]:
    if _same_lines(old, new, canonical):
        return blocks
    texts = table_blocks(("line",), new)
    if in_preamble(blocks[0], ("line",)):
        # Lines written as one array of inline tables become tables of their own as soon as one of them changes.
        blocks = preamble_without(blocks, "line")
        return insert_texts(blocks, len(blocks), texts)

    def edit(blocks: list[Block], start: int, end: int, before: int, after: int) -> list[Block]:
        changes = _line_changes(old[before], new[after])
        if changes is None:
            return blocks
        return [*blocks[:start], set_keys(blocks[start], changes, LINE_KEYS), *blocks[start + 1 :]]

    return set_entries(
        blocks,
        "line",
        [_line_key(line, canonical) for line in old],
        [_line_key(line, str) for line in new],
        texts,
        [clean(line["ingredient"]) for line in old],
        edit,
    )


def _same_lines(old: list[Tables], new: list[Tables], canonical: Canonical) -> bool:
    return len(old) == len(new) and all(
        _line_key(a, canonical) == _line_key(b, str) and _line_changes(a, b) is None
        for a, b in zip(old, new, strict=True)
    )


def _line_key(line: Tables, canonical: Canonical) -> tuple[str, str]:
    return clean(str(line.get("stage", ""))) or DEFAULT_STAGE, canonical(clean(str(line["ingredient"])))


def _line_changes(old: Tables, new: Tables) -> Tables | None:
    """The keys the line shall have where it differs; None where it says the same already."""
    old_text = {key: clean(old[key]) for key in ("amount", "note") if key in old}
    old_plain = {key: old[key] for key in ("grams", "hydration", "reaches") if key in old} | old_text
    old_plain |= {key: _degrees(old[key]) for key in ("temperature_c",) if key in old}
    wanted = {key: new[key] for key in new if key not in ("stage", "ingredient")}
    if {key: value for key, value in old_plain.items() if value != ""} == wanted:
        return None
    kept = {key: old[key] for key in ("stage", "ingredient") if key in old}
    return kept | {key: old[key] if old_plain.get(key) == wanted[key] else wanted[key] for key in wanted}


def _degrees(value: Any) -> Any:
    return temperature_c(value) if isinstance(value, str) else value


def _set_adapted(blocks: list[Block], old: Tables, new: Tables) -> list[Block]:
    """The record of a variant; its book lines and steps are rewritten whole when they differ."""
    head = {"from": new["from"]} if new else {}
    inline = [key for key in ("book", "step") if key in old and not _has(blocks, ("adapted", key))]
    if inline or {key: old[key] for key in ("from",) if key in old} != head:
        blocks = set_table(blocks, ("adapted",), head, KNOWN_KEYS["adapted"])
    for key in ("book", "step"):
        if old.get(key, []) == new.get(key, []) and key not in inline:
            continue
        for at in range(len(blocks) - 1, 0, -1):
            if blocks[at].path[:2] == ("adapted", key):
                blocks = without_block(blocks, at, f"adapted.{key}")
        blocks = insert_texts(blocks, len(blocks), table_blocks(("adapted", key), new.get(key, [])))
    return blocks


def _has(blocks: list[Block], path: tuple[str, ...]) -> bool:
    return any(block.path == path for block in blocks)

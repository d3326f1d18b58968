"""Saving a pantry over a person's own file: only what changed is touched, comments and unknown tables stay."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

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
from adapter.formula.pantry import MEASUREMENT_KEYS, Pantry, Stock

Tables = Mapping[str, Any]

ENTRY_KEYS = frozenset(("grams", "amount", "price_per_kg", "best_before", "packet"))
PACKET = ("stock", "packet")


def edited_text(text: str, written: Sequence[Tables], old: Pantry, new: Pantry, tables: Tables) -> str:
    """The text of a pantry file, changed so that it describes another pantry.

    `written` are the [[stock]] tables of the text and `old` the pantry they were read as; `tables` is the new one.
    """
    blocks = blocks_of(text)
    if old.name != tables["pantry"]["name"]:
        blocks = set_table(blocks, ("pantry",), tables["pantry"], frozenset(("name",)), "stock")
    if old.stock == new.stock:
        return joined(blocks, text)
    stock = tables.get("stock", [])
    texts = table_blocks(("stock",), stock)
    if in_preamble(blocks[0], ("stock",)):
        blocks = preamble_without(blocks, "stock")
        return joined(insert_texts(blocks, len(blocks), texts), text)

    def edit(blocks: list[Block], start: int, end: int, before: int, after: int) -> list[Block]:
        if old.stock[before] == new.stock[after]:
            return blocks
        return _with_entry(blocks, start, end, written[before], old.stock[before], new.stock[after], stock[after])

    blocks = set_entries(
        blocks,
        "stock",
        [entry.ingredient for entry in old.stock],
        [entry.ingredient for entry in new.stock],
        texts,
        [entry.ingredient for entry in old.stock],
        edit,
    )
    return joined(blocks, text)


def _with_entry(
    blocks: list[Block], start: int, end: int, written: Tables, old: Stock, new: Stock, table: Tables
) -> list[Block]:
    """One entry changed in place; only keys whose meaning differs are written anew."""
    apart = {block.path[1] for block in blocks[start + 1 : end] if len(block.path) > 1}
    wanted = {key: written[key] for key in written if key not in ENTRY_KEYS and key not in apart}
    same_weight = "amount" in written and old.grams == new.grams
    for key in ("grams", "price_per_kg", "best_before"):
        if getattr(old, key) == getattr(new, key) and key in written:
            wanted[key] = written[key]
        elif key in table and not (key == "grams" and same_weight):
            wanted[key] = table[key]
    if same_weight:
        wanted["amount"] = written["amount"]
    packet_apart = any(block.path[:2] == PACKET for block in blocks[start + 1 : end])
    if "packet" in written and not packet_apart:
        if old.measurement == new.measurement:
            wanted["packet"] = written["packet"]
        elif "packet" in table:
            wanted["packet"] = table["packet"]
    entry = set_keys(blocks[start], wanted, ENTRY_KEYS)
    blocks = [*blocks[:start], entry, *blocks[start + 1 :]]
    if old.measurement == new.measurement or "packet" in wanted:
        return blocks
    return _with_packet(blocks, start, end, table.get("packet", {}))


def _with_packet(blocks: list[Block], start: int, end: int, figures: Tables) -> list[Block]:
    for at in range(end - 1, start, -1):
        path = blocks[at].path
        deeper = path[:2] == PACKET and len(path) > 2
        if deeper or (path == PACKET and not figures):
            blocks = without_block(blocks, at, ".".join(path[1:]))
            end -= 1
    for at in range(start + 1, end):
        if blocks[at].path == PACKET:
            packet = set_keys(blocks[at], figures, frozenset(MEASUREMENT_KEYS))
            return [*blocks[:at], packet, *blocks[at + 1 :]]
    return insert_texts(blocks, start + 1, table_blocks(PACKET, figures)) if figures else blocks

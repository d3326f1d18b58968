"""Saving a formula over a person's own file: only what changed is touched, comments and unknown tables stay."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from difflib import SequenceMatcher
from typing import Any

from adapter.files.entry import Entry
from adapter.files.formula_tables import (
    KNOWN_KEYS,
    LINE_KEYS,
    read_bake,
    read_proof,
    read_reasons,
    read_tin,
)
from adapter.files.toml_blocks import Block, comments_of, split_blocks
from adapter.files.toml_layout import table_blocks, value_text
from adapter.formula.model import DEFAULT_STAGE, Formula
from adapter.formula.plain_text import clean, clean_block

Canonical = Callable[[str], str]
Tables = Mapping[str, Any]


def edited_text(text: str, data: Tables, formula: Formula, tables: Tables, canonical: Canonical) -> str:
    """The text of a formula file, changed so that it describes another formula.

    `data` is what the text holds, `tables` what it shall hold (see tables_of); `canonical` gives the catalogue's
    name of an ingredient as the person wrote it.
    """
    line_end = "\r\n" if "\r\n" in text else "\n"
    blocks = split_blocks(text.replace("\r\n", "\n"))
    for name in _changed_tables(data, formula, tables):
        blocks = set_table(blocks, (name,), tables.get(name, {}), KNOWN_KEYS.get(name))
    blocks = _set_lines(blocks, data.get("line", []), tables["line"], canonical)
    blocks = _set_adapted(blocks, data.get("adapted", {}), tables.get("adapted", {}))
    new = "".join(block.text() for block in blocks).rstrip("\n") + "\n"
    return new.replace("\n", line_end)


def says_the_same(data: Tables, formula: Formula, tables: Tables, canonical: Canonical) -> bool:
    """Whether what a file holds describes this formula, in whatever way it is written."""
    old, new = data.get("line", []), tables["line"]
    return (
        not _changed_tables(data, formula, tables)
        and _same_lines(old, new, canonical)
        and {key: data.get("adapted", {}).get(key) for key in ("from", "book", "step")}
        == {key: tables.get("adapted", {}).get(key) for key in ("from", "book", "step")}
    )


def set_table(blocks: list[Block], path: tuple[str, ...], values: Tables, known: frozenset[str] | None) -> list[Block]:
    """Give a table these values; keys that are known (None: all) and not among the values go."""
    at = next((i for i, block in enumerate(blocks) if block.path == path and not block.is_array), None)
    if at is not None:
        edited = set_keys(blocks[at], values, known)
        gone = not edited.keys.strip() and not edited.comments() and not values
        return [*blocks[:at], *([] if gone else [edited]), *blocks[at + 1 :]]
    if _in_preamble(blocks[0], path):
        return [set_keys(blocks[0], values, known, inside=path), *blocks[1:]]
    if not values:
        return blocks
    first_line = next((i for i, block in enumerate(blocks) if block.path == ("line",)), len(blocks))
    return insert_texts(blocks, len(blocks) if path == ("adapted",) else first_line, table_blocks(path, values))


def set_keys(
    block: Block, values: Tables, known: frozenset[str] | None, inside: tuple[str, ...] | None = None
) -> Block:
    """A block with some keys changed, added or taken out in place; a comment beside a lost key moves below."""
    import tomlkit

    document = tomlkit.parse(block.header + block.keys)
    table: Any = document
    for key in block.path if inside is None else inside:
        table = table[key]
    if block.is_array:
        table = table[0]
    swapped = _take_place_of(table, values)
    for key in [key for key in table if key not in values and (known is None or key in known)]:
        del table[key]
    for key, value in values.items():
        if key not in table or not _same(table[key], value):
            table[key] = tomlkit.value(value_text(value))
            if key in swapped:
                table[key].trivia.comment_ws, table[key].trivia.comment = swapped[key]
    new = tomlkit.dumps(document)
    if not new.endswith("\n"):
        new += "\n"
    header_end = len(block.header)
    lost = _lost(block.header + block.keys, new)
    return replace(block, header=new[:header_end], keys=new[header_end:] + "".join(f"{c}\n" for c in lost))


def insert_texts(blocks: list[Block], at: int, texts: list[str]) -> list[Block]:
    """Blocks with new tables before block `at`, straight behind the last key there and what followed it after them."""
    if not texts:
        return blocks
    added = [new for text in texts for new in split_blocks(text + "\n") if new.path]
    above = blocks[at - 1]
    if above.path:
        added[-1] = replace(added[-1], tail=above.tail or "\n")
        above = replace(above, tail="\n")
    elif above.text() and not above.text().endswith("\n\n"):
        above = replace(above, tail=above.tail + "\n")
    return [*blocks[: at - 1], above, *added, *blocks[at:]]


def without_block(blocks: list[Block], at: int, name: str) -> list[Block]:
    """Blocks without one table; comments that stood with it stay where it was, and say where they stood."""
    block = blocks[at]
    own = comments_of(block.lead + block.header + block.keys)
    kept = block.tail if comments_of(block.tail) else ""
    if own:
        kept = f"# here stood {name}:\n" + "".join(f"{comment}\n" for comment in own) + (kept or "\n")
    above = blocks[at - 1]
    if kept and above.text() and not above.text().endswith("\n\n"):
        kept = "\n" + kept.lstrip("\n")
    return [*blocks[: at - 1], replace(above, tail=above.tail + kept), *blocks[at + 1 :]]


def _changed_tables(data: Tables, formula: Formula, tables: Tables) -> list[str]:
    old = Entry(data, "")
    head = old.part("formula", "")
    pieces = head.whole("pieces", 1, 10**9) or 1
    changed = {
        "formula": (head.text("name"), pieces, head.block("note"))
        != (clean(formula.name), formula.pieces, clean_block(formula.note)),
        "reasons": dict(read_reasons(old)) != tables.get("reasons", {}),
        "tin": read_tin(old) != formula.tin,
        "proof": read_proof(old) != formula.proof,
        "bake": read_bake(old) != formula.bake,
    }
    return [name for name, differs in changed.items() if differs]


def _set_lines(blocks: list[Block], old: list[Tables], new: list[Tables], canonical: Canonical) -> list[Block]:
    if _in_preamble(blocks[0], ("line",)):
        return _set_lines_of_preamble(blocks, old, new, canonical)
    old_keys = [_line_key(line, canonical) for line in old]
    new_keys = [_line_key(line, str) for line in new]
    kept: dict[int, int] = {}
    added: dict[int, list[str]] = {}
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, old_keys, new_keys, autojunk=False).get_opcodes():
        if tag == "equal":
            kept |= zip(range(i1, i2), range(j1, j2), strict=True)
        else:
            added.setdefault(i2 - 1, []).extend(table_blocks(("line",), new[j1:j2]))
    # From the last entry to the first, so that the places of the earlier ones do not move.
    for number, (start, end) in reversed(list(enumerate(_line_groups(blocks)))):
        blocks = insert_texts(blocks, end, added.get(number, []))
        if number in kept:
            changes = _line_changes(old[number], new[kept[number]])
            if changes is not None:
                blocks = [*blocks[:start], set_keys(blocks[start], changes, LINE_KEYS), *blocks[start + 1 :]]
        else:
            for at in range(end - 1, start - 1, -1):
                blocks = without_block(blocks, at, clean(str(old[number].get("ingredient", "a line"))))
    first = next((i for i, block in enumerate(blocks) if block.path[:1] == ("line",)), None)
    return insert_texts(blocks, len(blocks) if first is None else first, added.get(-1, []))


def _set_lines_of_preamble(
    blocks: list[Block], old: list[Tables], new: list[Tables], canonical: Canonical
) -> list[Block]:
    """Lines written as one array of inline tables become tables of their own as soon as one of them changes."""
    import tomlkit

    if _same_lines(old, new, canonical):
        return blocks
    document = tomlkit.parse(blocks[0].keys)
    del document["line"]
    left = tomlkit.dumps(document)
    lost = "".join(f"{comment}\n" for comment in _lost(blocks[0].keys, left))
    blocks = [replace(blocks[0], keys=left + lost), *blocks[1:]]
    return insert_texts(blocks, len(blocks), table_blocks(("line",), new))


def _same_lines(old: list[Tables], new: list[Tables], canonical: Canonical) -> bool:
    return len(old) == len(new) and all(
        _line_key(a, canonical) == _line_key(b, str) and _line_changes(a, b) is None
        for a, b in zip(old, new, strict=True)
    )


def _line_groups(blocks: list[Block]) -> list[tuple[int, int]]:
    """(first block, block behind the last) of every [[line]] with the tables inside it."""
    groups: list[tuple[int, int]] = []
    for at, block in enumerate(blocks):
        if block.path == ("line",):
            groups.append((at, at + 1))
        elif block.path[:1] == ("line",) and groups and groups[-1][1] == at:
            groups[-1] = (groups[-1][0], at + 1)
    return groups


def _line_key(line: Tables, canonical: Canonical) -> tuple[str, str]:
    return clean(str(line.get("stage", ""))) or DEFAULT_STAGE, canonical(clean(str(line["ingredient"])))


def _line_changes(old: Tables, new: Tables) -> Tables | None:
    """The keys the line shall have where it differs; None where it says the same already."""
    old_text = {key: clean(old[key]) for key in ("amount", "note") if key in old}
    old_plain = {key: old[key] for key in ("grams", "hydration") if key in old} | old_text
    old_plain |= {key: _degrees(old[key]) for key in ("temperature_c",) if key in old}
    wanted = {key: new[key] for key in new if key not in ("stage", "ingredient")}
    if {key: value for key, value in old_plain.items() if value != ""} == wanted:
        return None
    kept = {key: old[key] for key in ("stage", "ingredient") if key in old}
    return kept | {key: old[key] if old_plain.get(key) == wanted[key] else wanted[key] for key in wanted}


def _degrees(value: Any) -> Any:
    from adapter.formula.amounts import temperature_c

    return temperature_c(value) if isinstance(value, str) else value


def _set_adapted(blocks: list[Block], old: Tables, new: Tables) -> list[Block]:
    """The record of a variant; its book lines and steps are rewritten whole when they differ."""
    head = {"from": new["from"]} if new else {}
    if {key: old[key] for key in ("from",) if key in old} != head:
        blocks = set_table(blocks, ("adapted",), head, frozenset(("from",)))
    for key in ("book", "step"):
        if old.get(key, []) == new.get(key, []):
            continue
        for at in range(len(blocks) - 1, 0, -1):
            if blocks[at].path[:2] == ("adapted", key):
                blocks = without_block(blocks, at, f"adapted.{key}")
        blocks = insert_texts(blocks, len(blocks), table_blocks(("adapted", key), new.get(key, [])))
    return blocks


def _in_preamble(preamble: Block, path: tuple[str, ...]) -> bool:
    import tomli

    return path[0] in tomli.loads(preamble.keys)


def _take_place_of(table: Any, values: Tables) -> dict[str, tuple[str, str]]:
    """Comment of a line's old weight, for the key that replaces it: grams for amount, or the other way."""
    for old, new in (("grams", "amount"), ("amount", "grams")):
        if old in table and old not in values and new in values and new not in table:
            trivia = table[old].trivia
            return {new: (trivia.comment_ws, trivia.comment)}
    return {}


def _same(old: Any, new: Any) -> bool:
    plain = old.unwrap()
    return isinstance(plain, bool) == isinstance(new, bool) and bool(plain == new)


def _lost(before: str, after: str) -> list[str]:
    left = comments_of(after)
    lost = []
    for comment in comments_of(before):
        if comment in left:
            left.remove(comment)
        else:
            lost.append(comment)
    return lost

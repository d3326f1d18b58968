"""Changing single tables of a person's TOML text: what does not change keeps its comments and its own hand."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from typing import Any

from adapter.files.toml.blocks import Block, comments_of, split_blocks
from adapter.files.toml.layout import table_blocks, value_text

Tables = Mapping[str, Any]
Edit = Callable[[list[Block], int, int, int, int], list[Block]]


def blocks_of(text: str) -> list[Block]:
    """The blocks of a text with plain line ends, for changing them."""
    return split_blocks(text.replace("\r\n", "\n"))


def joined(blocks: Sequence[Block], like: str) -> str:
    """The text of blocks, with the line ends of the text they came from."""
    text = "".join(block.text() for block in blocks).rstrip("\n") + "\n"
    return text.replace("\n", "\r\n") if "\r\n" in like else text


def set_entries(
    blocks: list[Block],
    name: str,
    old_keys: Sequence[Hashable],
    new_keys: Sequence[Hashable],
    new_texts: Sequence[str],
    labels: Sequence[str],
    edit: Edit,
) -> list[Block]:
    """Turn the entries [[name]] from one sequence into another.

    Entries of equal key in equal order are kept and handed to `edit(blocks, start, end, old, new)`, where `start`
    and `end` are the places of their blocks; others come in as `new_texts` or go out by their label.
    """
    kept: dict[int, int] = {}
    added: dict[int, list[str]] = {}
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, old_keys, new_keys, autojunk=False).get_opcodes():
        if tag == "equal":
            kept |= zip(range(i1, i2), range(j1, j2), strict=True)
        else:
            added.setdefault(i2 - 1, []).extend(new_texts[j1:j2])
    # From the last entry to the first, so that the places of the earlier ones do not move.
    for number, (start, end) in reversed(list(enumerate(_groups(blocks, name)))):
        blocks = insert_texts(blocks, end, added.get(number, []))
        if number in kept:
            blocks = edit(blocks, start, end, number, kept[number])
        else:
            for at in range(end - 1, start - 1, -1):
                blocks = without_block(blocks, at, labels[number])
    return insert_texts(blocks, _first(blocks, name), added.get(-1, []))


def preamble_without(blocks: list[Block], key: str) -> list[Block]:
    """Blocks without a key of the text before the first header; its comments stay."""
    import tomlkit

    document = tomlkit.parse(blocks[0].keys)
    del document[key]
    left = tomlkit.dumps(document)
    lost = "".join(f"{comment}\n" for comment in _lost(blocks[0].keys, left))
    return [replace(blocks[0], keys=left + lost), *blocks[1:]]


def set_table(
    blocks: list[Block],
    path: tuple[str, ...],
    values: Tables,
    known: frozenset[str] | None,
    before: str | None = None,
) -> list[Block]:
    """Give a table these values; keys that are known (None: all) and not among the values go.

    A new table comes before the first [[before]], or at the end.
    """
    at = next((i for i, block in enumerate(blocks) if block.path == path and not block.is_array), None)
    if at is not None:
        edited = set_keys(blocks[at], values, known)
        gone = not edited.keys.strip() and not edited.comments() and not values
        return [*blocks[:at], *([] if gone else [edited]), *blocks[at + 1 :]]
    if in_preamble(blocks[0], path):
        return [set_keys(blocks[0], values, known, inside=path), *blocks[1:]]
    if not values:
        return blocks
    return insert_texts(blocks, len(blocks) if before is None else _first(blocks, before), table_blocks(path, values))


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


def in_preamble(preamble: Block, path: tuple[str, ...]) -> bool:
    """Whether a table is written before the first header: as dotted keys, inline, or an array of inline tables."""
    import tomli

    return path[0] in tomli.loads(preamble.keys)


def _first(blocks: list[Block], name: str) -> int:
    return next((i for i, block in enumerate(blocks) if block.path[:1] == (name,)), len(blocks))


def _groups(blocks: list[Block], name: str) -> list[tuple[int, int]]:
    """(first block, block behind the last) of every [[name]] with the tables inside it."""
    groups: list[tuple[int, int]] = []
    for at, block in enumerate(blocks):
        if block.path == (name,):
            groups.append((at, at + 1))
        elif block.path[:1] == (name,) and groups and groups[-1][1] == at:
            groups[-1] = (groups[-1][0], at + 1)
    return groups


def _take_place_of(table: Any, values: Tables) -> dict[str, tuple[str, str]]:
    """Comment of a line's old weight, for the key that replaces it: grams for amount, or the other way."""
    for old, new in (("grams", "amount"), ("amount", "grams")):
        if old in table and old not in values and new in values and new not in table:
            trivia = table[old].trivia
            return {new: (trivia.comment_ws, trivia.comment)}
    return {}


def _same(old: Any, new: Any) -> bool:
    plain = old.unwrap() if hasattr(old, "unwrap") else old
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

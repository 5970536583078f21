"""Copies of a group's file edited at random, by hand and by program, with copies joined in between."""

import random
import re
from collections.abc import Mapping
from typing import NamedTuple

from score.group.entry_blocks import Block, Blocks, cut_blocks
from score.group.entry_keys import comment_key
from score.group.gather import Joined, join, sides_of
from score.group.group_copy import CopyEntry, GroupCopy, copy_of
from score.group.joined_text import joined_text

BASE = (
    "# ours\n\nconcert = 2027-01-01\n\n[limits]\nnear_seconds = 1\n\n"
    '[[share]]\nplayers = [1, 2]   # two\n\n[[cue]]\nplayer = 1\nbars = "3"\nshow = 2\n'
)
AMOUNTS = {"shape": "percent", "breath": "seconds", "hold": "seconds", "lead": "beat", "look": "beat", "note": "beat"}
EDITS = {
    "add": 5.0, "add without id": 1.0, "amount": 5.0, "state": 3.0, "bars": 2.0, "drop": 1.0, "delete": 0.7,
    "delete id": 0.5, "move": 1.0, "comment": 2.0, "words": 2.0, "concert": 0.5, "limit": 0.5,
}  # fmt: skip


def parse(text: str) -> GroupCopy:
    return copy_of(cut_blocks(text))


def saved(text: str) -> str:
    return joined_text(join([parse(text)]))


def new_entry(rng: random.Random, with_id: bool = True) -> Block:
    kind = rng.choice(list(AMOUNTS))
    comment = f"# why {rng.getrandbits(20):x}\n" if rng.random() < 0.5 else ""
    own = f'id = "{kind[0]}{rng.getrandbits(24):06x}"\n' if with_id else ""
    bars = "bars" if kind in ("shape", "lead") else "bar"
    amount = f"{AMOUNTS[kind]} = {rng.randrange(1, 20)}   # in rehearsal {rng.getrandbits(16):x}\n"
    fields = f'{bars} = "{rng.randrange(1, 150)}"\nby = {rng.randrange(1, 5)}\n{amount}state = "tried"\n'
    return Block(kind, True, f"{comment}[[{kind}]]\n{own}{fields}")


def edited(text: str, rng: random.Random) -> str:
    """One edit of a file's text as a hand makes it."""
    blocks = cut_blocks(text)
    places = [index for index, block in enumerate(blocks.blocks) if block.name in AMOUNTS]
    (edit,) = rng.choices(list(EDITS), list(EDITS.values()))
    if edit.startswith("add") or not places:
        return blocks.insert(rng.choice(places) + 1 if places else 0, new_entry(rng, edit != "add without id")).text
    if edit == "concert":
        day = f"concert = 2027-01-{rng.randrange(10, 29)}\n" if rng.random() < 0.8 else ""
        return re.sub(r"(?m)^concert = 2027.*\n", day, text)
    if edit == "limit":
        return re.sub(r"(?m)^near_seconds = .*", f"near_seconds = {rng.randrange(1, 9)}", text)
    return _entry_edited(blocks, rng.choice(places), edit, rng).text


def _entry_edited(blocks: Blocks, place: int, edit: str, rng: random.Random) -> Blocks:
    if edit == "delete":
        return blocks.remove(place)
    block = blocks.blocks[place]
    if edit == "move":
        rest = blocks.remove(place)
        places = [index for index, each in enumerate(rest.blocks) if each.name in AMOUNTS]
        return rest.insert(rng.choice(places) if places else 0, block)
    amount, bar, word = rng.randrange(1, 60), rng.randrange(1, 150), rng.getrandbits(24)
    text = {
        "amount": lambda text: re.sub(r"(percent|seconds|beat) = \d+", rf"\1 = {amount}", text),
        "bars": lambda text: re.sub(r'(bars?) = "[^"]+"', rf'\1 = "{bar}"', text),
        "state": lambda text: re.sub(r'state = "\w+"', 'state = "agreed"', text),
        "drop": lambda text: re.sub(r'state = "\w+"', 'state = "dropped"', text),
        "delete id": lambda text: re.sub(r'id = "[^"]+"\n', "", text),
        "comment": lambda text: text.rstrip("\n") + f"   # c{word:x}\n",
        "words": lambda text: re.sub(r"text = .*\n", "", text) + f'text = "w{word:x}"\n',
    }[edit](block.text)
    return blocks.replace(place, text)


def versions_of(entries: Mapping[str, CopyEntry]) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Which versions of music and of words are in force, by id: what joining is exact about."""
    return {
        key: (frozenset(entry.record.music.versions), frozenset(entry.record.words.versions))
        for key, entry in entries.items()
    }


class Round(NamedTuple):
    """Copies of one file after a while: their texts and how many edits were made."""

    texts: list[str]
    edits: int


def played(rng: random.Random) -> Round:
    """Two to four copies of one file, edited, saved by the program and joined among each other."""
    base = BASE + "".join("\n" + new_entry(rng).text for _ in range(rng.randrange(25)))
    base = saved(base) if rng.random() < 0.8 else base
    texts = [base] * rng.randrange(2, 5)
    edits = rng.randrange(5, 40)
    for _ in range(edits):
        place = rng.randrange(len(texts))
        texts[place] = edited(texts[place], rng)
        if rng.random() < 0.4:
            texts[place] = saved(texts[place])
        if rng.random() < 0.08:
            to, other = rng.sample(range(len(texts)), 2)
            texts[to] = joined_text(join([parse(texts[to]), parse(texts[other])]))
    return Round(texts, edits)


def joined_in_a_tree(copies: list[GroupCopy], rng: random.Random) -> Joined:
    """The copies joined two by two in a random order, each time through the file's text."""
    pool = [joined_text(join([copy])) for copy in copies]
    while len(pool) > 1:
        rng.shuffle(pool)
        pool.append(joined_text(join([parse(pool.pop()), parse(pool.pop())])))
    return join([parse(pool[0])])


def faults(texts: list[str], rng: random.Random) -> list[str]:
    """What went wrong in joining these copies, one word each."""
    copies = [parse(text) for text in texts]
    joined = join(copies)
    text, state = joined_text(joined), versions_of(joined.entries)
    again = parse(text)
    mixed = rng.sample(copies, len(copies))
    checks = {
        "order": versions_of(join(mixed).entries) == state,
        "pairs": versions_of(joined_in_a_tree(mixed, rng).entries) == state,
        "twice": versions_of(join([again, again]).entries) == state,
        "once more": versions_of(join([again, copies[0]]).entries) == state,
        "letters": joined_text(join([again])) == text,
    }
    return [*(name for name, holds in checks.items() if not holds), *_lost(copies, joined, text)]


def _lost(copies: list[GroupCopy], joined: Joined, text: str) -> list[str]:
    """Ids, versions and comments that are in a copy and not in the result."""
    lost = [f"id {key}" for copy in copies for key in copy.entries if key not in joined.entries]
    for copy in copies:
        for key, entry in copy.entries.items():
            record = joined.entries[key].record
            for old, new in ((entry.record.music, record.music), (entry.record.words, record.words)):
                lost += [f"version {n}" for n in old.versions if n not in new.versions and n not in new.replaced]
            if any(side.text for side in sides_of(joined.entries[key]).values()):
                removed = _taken_out(copies, key)
                lost += [c for c in entry.comments if c not in text and comment_key(c) not in removed]
    return lost


def _taken_out(copies: list[GroupCopy], key: str) -> set[str]:
    entries = [copy.entries[key] for copy in copies if key in copy.entries]
    return {seen for entry in entries for seen in entry.record.comments - set(map(comment_key, entry.comments))}

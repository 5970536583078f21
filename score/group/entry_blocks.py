"""The group's file cut into blocks that are written back letter for letter.

A block is one table: its header, the comment lines directly above it, and its body. What stands between blocks (blank
lines, comments on their own, the values at the top) is kept as it is. A header inside a list of several lines or inside
a text of several lines is none.
"""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

_TOKEN = re.compile(
    r'"""(?:[^\\"]|\\.|"(?!""))*"""(?:"{1,2})?'
    r"|'''(?:[^']|'(?!''))*'''(?:'{1,2})?"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*|[\[\]{}]|\n",
    re.S,
)
_HEADER = re.compile(r'\[(\[?)\s*("[^"\n]*"|[^\[\]\n"]+?)\s*\]')


class Block(NamedTuple):
    """One table as it is written.

    Attributes:
        name: of the table.
        listed: written ``[[name]]``.
        text: its letters, from its first comment line to the end of its body.
    """

    name: str
    listed: bool
    text: str


class Blocks(NamedTuple):
    """A whole file: ``gaps[0] + blocks[0].text + gaps[1] + ...``.

    Attributes:
        blocks: the tables in their order.
        gaps: what stands before, between and after them; one more than blocks.
    """

    blocks: tuple[Block, ...]
    gaps: tuple[str, ...]

    @property
    def text(self) -> str:
        """The file's letters."""
        return self.gaps[0] + "".join(b.text + gap for b, gap in zip(self.blocks, self.gaps[1:], strict=True))

    def places(self, name: str) -> list[int]:
        """Where the tables of a name stand among the blocks."""
        return [index for index, block in enumerate(self.blocks) if block.name == name]

    def insert(self, index: int, block: Block) -> "Blocks":
        """With a block before the one at this index (after all when it is their number), set off by blank lines."""
        before, after = _set_off(self.gaps[index], line_end(self.text), index == len(self.blocks), index == 0)
        if index == len(self.blocks) and self.text and not self.text.endswith("\n"):
            # A file that ends without a line end keeps doing so.
            end = line_end(self.text)
            before, after = self.gaps[index] + end + end, ""
            block = block._replace(text=block.text.removesuffix(end))
        return Blocks(
            (*self.blocks[:index], block, *self.blocks[index:]),
            (*self.gaps[:index], before, after, *self.gaps[index + 1 :]),
        )

    def remove(self, index: int) -> "Blocks":
        """Without the block at this index and without the blank line that set it off."""
        before, after = self.gaps[index], self.gaps[index + 1]
        first = _first_line(after)
        if first is not None and not first.strip():
            after = after[len(first) :]
        else:
            before = _without_blank(before, at_start=index == 0)
        blocks = (*self.blocks[:index], *self.blocks[index + 1 :])
        rest = Blocks(blocks, (*self.gaps[:index], before + after, *self.gaps[index + 2 :]))
        # A file that ends without a line end keeps doing so.
        return rest if self.text.endswith("\n") else cut_blocks(rest.text.removesuffix(line_end(rest.text)))

    def replace(self, index: int, text: str) -> "Blocks":
        """With other letters for one block."""
        block = self.blocks[index]._replace(text=text)
        return self._replace(blocks=(*self.blocks[:index], block, *self.blocks[index + 1 :]))


def cut_blocks(text: str) -> Blocks:
    """A file's text as blocks; joined again they are the same letters."""
    lines = _lines(text)
    starts = _line_starts(lines)
    headers, comments = _headers(text, starts)
    blocks: list[Block] = []
    gaps: list[str] = []
    end = 0
    for number, (line, name, listed) in enumerate(headers):
        first = _with_comments(line, comments, end)
        limit = _with_comments(headers[number + 1][0], comments, line + 1) if number + 1 < len(headers) else len(lines)
        last = _body_end(lines, comments, line + 1, limit)
        gaps.append("".join(lines[end:first]))
        blocks.append(Block(name, listed, "".join(lines[first:last])))
        end = last
    gaps.append("".join(lines[end:]))
    return Blocks(tuple(blocks), tuple(gaps))


def line_end(text: str) -> str:
    """How lines end in a text."""
    return "\r\n" if "\r\n" in text else "\n"


def comments_of(text: str) -> list[str]:
    """The comments of a text in their order, without their blanks; a # inside a value is none."""
    return [token.rstrip() for token in _TOKEN.findall(text) if token.startswith("#")]


def _lines(text: str) -> list[str]:
    return re.findall(r"[^\n]*\n|[^\n]+", text)


def _line_starts(lines: Sequence[str]) -> dict[int, int]:
    """Offset of each line's first letter to its number."""
    starts, offset = {}, 0
    for number, line in enumerate(lines):
        starts[offset] = number
        offset += len(line)
    return starts


def _headers(text: str, starts: dict[int, int]) -> tuple[list[tuple[int, str, bool]], set[int]]:
    """(line, name, listed) of every header, and the lines that are comments only."""
    headers: list[tuple[int, str, bool]] = []
    comments: set[int] = set()
    for line, token in _first_tokens(text, starts):
        header = _HEADER.match(text, token.start())
        if token.group().startswith("#"):
            comments.add(line)
        elif header and "." not in header[2]:
            headers.append((line, header[2].strip('"'), bool(header[1])))
    return headers, comments


def _first_tokens(text: str, starts: dict[int, int]) -> Iterator[tuple[int, re.Match[str]]]:
    """Comments and brackets that stand first on their line, outside every list and text; with the line's number."""
    depth, begin = 0, 0
    for token in _TOKEN.finditer(text):
        letters = token.group()
        if letters == "\n":
            begin = token.end()
            continue
        if depth == 0 and letters[0] in "#[" and not text[begin : token.start()].strip() and begin in starts:
            yield starts[begin], token
        depth += (letters in ("[", "{")) - (letters in ("]", "}"))


def _with_comments(line: int, comments: set[int], lowest: int) -> int:
    while line > lowest and line - 1 in comments:
        line -= 1
    return line


def _body_end(lines: Sequence[str], comments: set[int], begin: int, limit: int) -> int:
    """The line after a body: its last value, and the comments directly under it."""
    end = begin
    for line in range(begin, limit):
        if lines[line].strip() and line not in comments:
            end = line + 1
    while end < limit and end in comments:
        end += 1
    return end


def _set_off(gap: str, end: str, at_end: bool, at_start: bool) -> tuple[str, str]:
    """A gap cut in two for a block between, with a blank line added on one side."""
    if not gap and at_start:
        return "", "" if at_end else end
    lines = _lines(gap)
    return (gap, end) if lines and not lines[-1].strip() else (gap + end, "")


def _without_blank(gap: str, at_start: bool) -> str:
    """A gap without the blank line that ends it."""
    lines = _lines(gap)
    if lines and not lines[-1].strip() and (len(lines) > 1 or not at_start):
        return "".join(lines[:-1])
    return gap


def _first_line(text: str) -> str | None:
    return _lines(text)[0] if text else None

"""Plain texts of other reports taken apart again, so that nothing is told twice in other words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from acoustics.report.html.content import Block, Points, Table, Verbatim
from acoustics.report.plain_text import cells
from acoustics.report.summary_parts import Part

INDENT = "    "
"""of lines that are to be copied as they are"""


def blocks_of_part(part: Part) -> list[Block]:
    """One part of a summary: its points, then its table."""
    blocks: list[Block] = [Points(part.points, part.title)]
    if part.table:
        blocks.append(table_of(part.table, part.title))
    return blocks


def blocks_of_text(text: str, leave_out: Sequence[str] = ()) -> list[Block]:
    """Headings, points, tables and paragraphs of a text laid out by `plain_text`.

    Args:
        text: its title underlined with "=", its headings with "-".
        leave_out: headings of parts that are told elsewhere.
    """
    blocks: list[Block] = []
    for title, body in _parts(text):
        if title in leave_out:
            continue
        own = [block for chunk in re.split(r"\n{2,}", body) for block in _chunk(chunk, title)]
        shown = title
        for block in own:
            blocks.append(_entitled(block, shown))
            shown = ""
    return blocks


def table_of(text: str, caption: str) -> Table:
    """A table laid out by `columns`."""
    return Table(tuple(map(tuple, cells(text))), caption)


def first_paragraph(text: str) -> str:
    """What a text says first, below its title, on one line."""
    body = text.split("\n\n", 1)[1]
    return " ".join(body.split("\n\n", 1)[0].split())


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """Headings and what is below each, the beginning under an empty one."""
    title, body = "", list[str]()
    lines = text.split("\n")
    for i, line in enumerate(lines):
        if i and _underlines(line, lines[i - 1]):
            body.pop()
            yield title, "\n".join(body).strip("\n")
            # What has no heading but the text's own title is its beginning.
            title, body = ("" if line[0] == "=" else lines[i - 1]), []
        else:
            body.append(line)
    yield title, "\n".join(body).strip("\n")


def _underlines(line: str, above: str) -> bool:
    return len(line) >= 2 and set(line) in ({"-"}, {"="}) and len(line) == len(above)


def _chunk(text: str, title: str) -> Iterator[Block]:
    """Points, a table, a paragraph, or lines to be copied."""
    if not text.strip():
        return
    lines = text.split("\n")
    if all(line.startswith(INDENT) for line in lines):
        yield Verbatim("\n".join(line.removeprefix(INDENT) for line in lines))
    elif lines[0].startswith("- "):
        points = re.split(r"\n(?=- )", text)
        yield Points(tuple(" ".join(point[2:].split()) for point in points))
    elif len(lines) > 1 and len(cells(text)[0]) > 1:
        yield table_of(text, title)
    else:
        yield Points((" ".join(text.split()),))


def _entitled(block: Block, title: str) -> Block:
    if isinstance(block, Points):
        return Points(block.lines, title)
    if isinstance(block, Table):
        return Table(block.rows, block.caption, title)
    return Verbatim(block.text, title) if isinstance(block, Verbatim) else block

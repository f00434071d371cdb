"""A report as one file for the browser, which loads nothing and needs no script to be read."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Container, Iterable, Iterator
from importlib.resources import files

from acoustics.report.html.content import (
    Block,
    Chart,
    Judged,
    Page,
    Picture,
    Points,
    Section,
    Table,
    Verbatim,
)
from acoustics.report.html.figures import figure
from acoustics.report.html.page_words import said, text

HERE = "acoustics.report.html"
STYLE = "page.css"
SCRIPTS = ("page_common.js", "page_chart.js", "page_reading.js", "page_sheet.js")
"""which are one in the page, in this order"""

QUESTION = "Is it good? "
"""how an answer begins, which here is the heading"""

MET = "met"
"""state of what is as it was asked for"""

UNSEEN = ' class="unseen"'

MANY = 6
"""columns from which a table is set smaller where there is little room"""

NUMERIC = re.compile(r"^[−+±-]?[\d∞–]")
"""how a cell of figures begins"""


def page_html(page: Page) -> str:
    """The whole file."""
    style, script = _file(STYLE), _script()
    policy = (
        f"default-src 'none'; style-src '{_digest(style)}'; script-src '{_digest(script)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return "\n".join(
        (
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light">',
            f"<title>{text(page.title)}</title>",
            f"<style>{style}</style>",
            "</head>",
            "<body>",
            '<a class="skip" href="#answer">Skip to the answer</a>',
            *_first_screen(page),
            "<main>",
            *_answer(page),
            *(line for part in page.sections for line in _section(part)),
            "</main>",
            f"<footer><p>{text(page.made_by)}. Cabinet, drivers and room as the case file has "
            "them. Cautions are above; local codes and licensed practice decide.</p></footer>",
            f"<script>{script}</script>",
            "</body>",
            "</html>",
            "",
        )
    )


def _file(name: str) -> str:
    return files(HERE).joinpath(name).read_text("utf-8")


def _script() -> str:
    """All scripts as one that leaves no names behind."""
    return f'"use strict";\n(() => {{\n{"".join(map(_file, SCRIPTS))}}})();\n'


def _digest(text: str) -> str:
    """Of an inline style or script, as a policy names it (CSP level 2)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


def _first_screen(page: Page) -> Iterator[str]:
    yield "<header>"
    yield f"<h1>{text(page.title)}</h1>"
    yield '<nav aria-label="Parts of this report"><ul>'
    for part in page.sections:
        yield f'<li><a href="#{part.name}">{text(part.title)}</a></li>'
    yield "</ul></nav>"
    yield "</header>"


def _answer(page: Page) -> Iterator[str]:
    yield '<section id="answer" class="answer" aria-labelledby="answer-title" tabindex="-1">'
    yield '<h2 id="answer-title">Is it good, and what would you change?</h2>'
    yield f'<p class="lead">{said(page.answer.removeprefix(QUESTION))}</p>'
    yield '<div class="first">'
    yield "<div><h3>What to change</h3>"
    none = "<p>Nothing that the program would ask for.</p>"
    yield _list(page.changes) if page.changes else none
    yield "</div><div><h3>Key figures</h3><dl>"
    for name, value in page.figures:
        yield f"<div><dt>{text(name)}</dt><dd>{text(value)}</dd></div>"
    yield "</dl></div></div>"
    missed = [one for one in page.judged if one.state != MET]
    met = [one for one in page.judged if one.state == MET]
    for title, some in (("What is not met, or not known", missed), ("What is met", met)):
        if some:
            kind = "judged met-ones" if some is met else "judged"
            yield f'<h3>{title}</h3><ul class="{kind}">{"".join(map(_verdict, some))}</ul>'
    yield "</section>"


def _verdict(one: Judged) -> str:
    kind = {MET: "met", "MISSED": "missed"}.get(one.state.split(" ")[0], "open")
    return (
        f'<li><span class="state {kind}">{text(one.state)}</span> '
        f"<span>{said(one.text)}</span></li>"
    )


def _section(part: Section) -> Iterator[str]:
    yield f'<section id="{part.name}" aria-labelledby="{part.name}-heading">'
    yield f'<h2 id="{part.name}-heading">{text(part.title)}</h2>'
    figures = [block for block in part.blocks if isinstance(block, Chart | Picture)]
    words = [block for block in part.blocks if not isinstance(block, Chart | Picture)]
    titles = {block.title for block in words}
    both = " both" if figures and words else ""
    yield f'<div class="blocks{both}">'
    if figures:
        yield f'<div class="figures">{"".join(map(figure, figures))}</div>'
    if words:
        yield f'<div class="words">{"".join(_words(each, titles) for each in words)}</div>'
    yield "</div></section>"


def _words(block: Block, titles: Container[str]) -> str:
    if isinstance(block, Points):
        return f"{_heading(block.title)}{_list(block.lines)}"
    if isinstance(block, Table):
        return f"{_heading(block.title)}{_table(block, seen=block.caption not in titles)}"
    if isinstance(block, Verbatim):
        # A box that scrolls must be within reach of the keyboard.
        return (
            f"{_heading(block.title)}"
            f'<pre tabindex="0" role="region" aria-label="{text(block.title) or "Plain text"}">'
            f"{text(block.text)}</pre>"
        )
    return figure(block)


def _heading(title: str) -> str:
    return f"<h3>{text(title)}</h3>" if title else ""


def _list(lines: Iterable[str]) -> str:
    shown = list(lines)
    if len(shown) == 1:
        return f"<p>{said(shown[0])}</p>"
    return f"<ul>{''.join(f'<li>{said(line)}</li>' for line in shown)}</ul>"


def _table(table: Table, *, seen: bool) -> str:
    """A table; a caption that says what a heading says already is only for who hears the page."""
    head, *rows = table.rows
    heads = "".join(f'<th scope="col">{text(cell)}</th>' if cell else "<td></td>" for cell in head)
    body = "".join(f"<tr>{_row(row)}</tr>" for row in rows)
    caption = text(table.caption)
    many = ' class="many"' if len(head) >= MANY else ""
    return (
        f'<div class="wide" tabindex="0" role="region" aria-label="{caption}"><table{many}>'
        f"<caption{'' if seen else UNSEEN}>{caption}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{body}</tbody></table></div>"
    )


def _row(row: tuple[str, ...]) -> str:
    first, *rest = row
    begin = f'<th scope="row">{text(first)}</th>' if first else "<td></td>"
    cells = (
        f'<td class="figure">{text(cell)}</td>' if NUMERIC.match(cell) else f"<td>{text(cell)}</td>"
        for cell in rest
    )
    return begin + "".join(cells)

"""The page of a report: whole, by itself, escaped, the same every time."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.case.design.model import Aim
from acoustics.report.html.content import Points, Section, Table
from acoustics.report.html.page import page_html
from acoustics.report.html.verified import TITLE, verification_section
from support.cases import CASES, make_case, make_driver
from support.reported import page_of, read
from support.verifications import verification

EVIL = "<script>alert(1)</script>"
DRIVERS = ("../../x", '"><img src=x onerror=1>')
LINE_ENDS = "a\u2028b\u2029c"


def aim(name, at_most):
    return Aim(name, "ripple", "listening window", (300.0, 10_000.0), 6.0, None, at_most)


@pytest.fixture(scope="module")
def small(solve_free_field):
    """Of a case without brief, boxes and limits, with two aims, measured."""
    case = make_case(aims=(aim("easy", 60.0), aim("impossible", 0.001)))
    measured = verification_section(case, verification())
    return page_of(case, solve_free_field, verification=measured)


@pytest.fixture(scope="module")
def plain(small):
    return page_html(small)


@pytest.fixture(scope="module")
def passive(solve_free_field):
    """Of the shipped design with a passive crossover, brief, aims, structure, surfaces."""
    case = read_case(CASES / "compact-passive")
    coarse = replace(case, frequencies=replace(case.frequencies, per_octave=12))
    return page_of(coarse, solve_free_field)


@pytest.fixture(scope="module")
def whole(passive):
    return page_html(passive)


def hostile_case():
    drivers = [make_driver(name, y) for name, y in zip(DRIVERS, (0.05, -0.05), strict=True)]
    return make_case(drivers, title=EVIL + LINE_ENDS, note=EVIL, crossover=())


@pytest.fixture(scope="module")
def hostile(solve_free_field):
    return page_html(page_of(hostile_case(), solve_free_field))


def test_page_is_well_formed(plain, hostile):
    for html in (plain, hostile):
        page = read(html)
        assert page.faults == []
        assert page.open == []


def test_identifiers_are_used_once_and_links_meet_them(plain):
    page = read(plain)
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    wanted = re.findall(r'(?:href="|url\()#([^")]+)', plain)
    wanted += [
        one
        for _, attributes in page.elements
        for one in (attributes.get("aria-labelledby") or "").split()
    ]
    assert set(wanted) <= set(ids)


def test_nothing_is_loaded_from_elsewhere(plain, hostile):
    for html in (plain, hostile):
        assert set(re.findall(r'https?://[^"\s<]+', html)) == {"http://www.w3.org/2000/svg"}
        for _, attributes in read(html).elements:
            for name in ("src", "href"):
                assert (attributes.get(name) or "#").startswith(("#", "data:image/png;"))
        assert "@import" not in html
        assert "style=" not in html  # the policy takes no inline styles


def test_policy_allows_the_one_style_and_script(plain):
    policy = next(m["content"] for m in read(plain).of("meta") if "http-equiv" in m)
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    for tag in ("style", "script"):
        inside = re.findall(rf"<{tag}>(.*?)</{tag}>", plain, re.DOTALL)
        assert len(inside) == 1
        digest = base64.b64encode(hashlib.sha256(inside[0].encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy


def test_names_of_a_case_do_nothing_but_stand_there(hostile):
    page = read(hostile)
    assert len(page.of("script")) == 1
    assert page.of("img") == []
    assert not any(name.startswith("on") for _, attributes in page.elements for name in attributes)
    assert "\u2028" not in hostile
    assert "\u2029" not in hostile
    text = "".join(page.text)
    assert EVIL in text
    for name in DRIVERS:
        assert f"{name} alone" in text
        assert any(a.get("data-name") == f"{name} alone" for a in page.of("path"))


def test_equal_reports_are_equal_bytes(hostile, solve_free_field):
    assert page_html(page_of(hostile_case(), solve_free_field)) == hostile


@pytest.mark.slow
def test_page_is_small_enough_to_send(whole):
    assert len(whole.encode()) < 5e6
    assert read(whole).faults == []
    assert "Thiele" in whole
    assert "Miki" in whole


@pytest.mark.slow
def test_every_part_is_there(passive, whole):
    names = [part.name for part in passive.sections]
    assert names == [
        "layout", "responses", "directivity", "seat", "loudness", "enclosure", "structure",
        "crossover", "cautions", "basis", "summary",
    ]  # fmt: skip
    headings = [a["id"] for a in read(whole).of("h2")]
    assert headings == ["answer-title", *(f"{name}-heading" for name in names)]


@pytest.mark.slow
def test_every_figure_says_what_to_see_in_it(whole):
    captions = re.findall(r"<figcaption>(.*?)</figcaption>", whole)
    assert len(captions) == len(read(whole).of("figure")) > 15
    assert all(re.search(r"\w.*[.]$", caption) for caption in captions)


@pytest.mark.slow
def test_the_whole_summary_is_in_the_page(passive, whole):
    """Every word of the plain text comes twice: in its place, and in the appendix."""
    text = " ".join("".join(read(whole).text).split())
    for part in passive.sections[-1].blocks:
        for chunk in part.text.split("\n- ")[1:]:
            point = " ".join(chunk.split("\n\n")[0].split("\n  ")).split("\n")[0]
            point = " ".join(point.split()).removeprefix("met: ")
            point = re.sub(r"^MISSED by [^:]+: ", "", point)
            assert text.count(point) >= 2, point


def test_first_screen_tells_the_missed_first(small, plain):
    assert [one.state.split()[0] for one in small.judged] == ["MISSED", "met"]
    assert plain.index("impossible") < plain.index('id="layout"')
    assert "common practice" in small.changes[0]


def test_without_measurements_there_is_no_verdict_on_them(hostile):
    assert TITLE not in hostile


def test_a_verification_takes_its_place(small, plain):
    names = [part.name for part in small.sections]
    assert names.index("verification") == names.index("cautions") - 1
    assert TITLE in plain
    assert "It matches the design (97 % likely)." in plain
    assert all(name in plain for name in verification().told_reading.values.tolist())


def test_curves_of_a_verification_can_be_read_off(small):
    part = next(part for part in small.sections if part.name == "verification")
    pictures = {block.name: block for block in part.blocks if hasattr(block, "reading")}
    found = verification()
    assert len(pictures) == 1 + found.told_reading.size
    for row, unit in enumerate(found.told_unit.values.tolist(), start=1):
        first = pictures[f"verified-{row}"].reading[0]
        assert first.value_unit == {"Pa": "dB", "ohm": "ohm"}[unit]
        assert {"measured", "as designed"} <= {trace.name for trace in first.traces}


def test_sources_are_those_of_what_is_told(plain):
    assert "ANSI/CTA-2034-A" in plain
    assert "Miki" not in plain  # nothing porous in it


@pytest.mark.slow
def test_tables_have_captions_and_heads(whole):
    page = read(whole)
    assert len(page.of("table")) == len(page.of("caption")) > 5
    assert {a.get("scope") for a in page.of("th")} == {"col", "row"}


def test_a_caption_is_seen_where_no_heading_says_it(small):
    rows = (("", "a"), ("b", "1"))
    blocks = (Points(("one", "two"), "Heading"), Table(rows, "Heading"), Table(rows, "Alone"))
    html = page_html(replace(small, sections=(Section("x", "X", blocks),)))
    assert '<caption class="unseen">Heading</caption>' in html
    assert "<caption>Alone</caption>" in html


@pytest.mark.slow
def test_a_port_that_is_too_fast_comes_with_what_helps(passive):
    ports = [line for line in passive.changes if line.startswith("Port: ")]
    assert len(ports) == 2
    assert "too fast" in ports[0]
    assert "would be slow enough" in ports[1]


@pytest.mark.slow
def test_the_picture_over_height_says_which_ears_it_is_drawn_for(passive):
    """Words tell the tightest of all ear heights, the picture one of them."""
    seat = next(part for part in passive.sections if part.name == "seat")
    told = next(
        block.sentence for block in seat.blocks if getattr(block, "name", "") == "over-height"
    )
    assert told.endswith("Said of all ear heights; drawn for 0.95 m.")


def test_headings_go_down_step_by_step(plain):
    levels = [int(tag[1]) for tag, _ in read(plain).elements if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert (np.diff(levels) <= 1).all()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["floorstander", "open-baffle", "compact-measured"])
def test_other_designs_have_pages(name):
    page = read(page_html(page_of(replace(read_case(CASES / name), accuracy=0.5))))
    assert page.faults == []
    assert page.open == []

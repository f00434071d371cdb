"""How far a draft may go, and why one cannot be built."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acoustics.case import read_case
from acoustics.case.design.place_model import Moved
from acoustics.studies.layout_search.sites import sites_of
from acoustics.studies.live.draft import Edges
from acoustics.studies.live.drafts import draft_of, drafted
from acoustics.studies.live.limits import limits_of
from acoustics.studies.live.why_not import why_not
from support.cases import CASES

SHIPPED = sorted(each.parent.name for each in CASES.glob("*/case.toml"))
CASE = read_case(CASES / "compact-centred")


def why(**changes) -> str:
    return "; ".join(why_not(CASE, replace(draft_of(CASE), **changes)))


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_case_lies_within_its_limits(name):
    case = read_case(CASES / name)
    draft, limits = draft_of(case), limits_of(case)
    assert why_not(case, draft) == ()
    for place, each in zip(draft.places, limits.places, strict=True):
        assert each.movable
        assert each.right[0] <= place[0] <= each.right[1]
        assert each.up[0] <= place[1] <= each.up[1]
    movable = [each for each in limits.corners if each.movable]
    for corner, each in zip(draft.corners, movable, strict=True):
        assert each.span[0] < corner < each.span[1]
    assert limits.ear_height[0] < draft.ear_height < limits.ear_height[1]
    assert limits.distance[0] < draft.distance < limits.distance[1]


def test_a_frame_at_its_limit_touches_the_edge_but_for_a_tenth_of_a_millimetre():
    limits = limits_of(CASE)
    for site, each in zip(
        sites_of(CASE, [Moved(driver.name) for driver in CASE.drivers]), limits.places, strict=True
    ):
        frame = site.driver.frame_diameter / 2
        # The front is 220 mm by 380 mm.
        for span, half in ((each.right, 0.11), (each.up, 0.19)):
            for end, side in zip(span, (-1, 1), strict=True):
                assert 0 < half - frame - side * end <= 1.01e-4
    at_the_end = ((limits.places[0].right[1], 0.13), (0.0, -0.02))
    assert "on its face" not in why(places=at_the_end)
    assert "'tweeter' (100 mm) has to be on its face" in why(places=((0.0601, 0.13), (0.0, -0.02)))


def test_words_name_what_is_in_the_way():
    start = draft_of(CASE)
    assert "'tweeter' and 'woofer' have to keep clear" in why(places=((0, 0.07), start.places[1]))
    assert "'woofer' (145 mm) has to clear the inside" in why(places=(start.places[0], (0.025, 0)))
    assert "the ears: 3 m is beyond what can be set" in why(ear_height=3.0)
    assert "the corner of woofer to tweeter: 10 kHz" in why(corners=(10e3,))
    assert "the delay of 'tweeter': -1 ms" in why(delays=(-1e-3, 0.0))
    assert "the main seat: 0.1 m" in why(distance=0.1)
    assert "flat for 160 mm by 320 mm" in why(edges=Edges("rounded", 0.03))
    assert "the edges cannot be had" in why(edges=Edges("chamfered", 0.2))


def test_a_port_on_the_front_is_in_the_way(tmp_path):
    text = (CASES / "compact-centred" / "case.toml").read_text("utf-8")
    text = text.replace('"../drivers/', f'"{CASES.as_posix()}/drivers/')
    text = text.replace(
        'face = "back"\nposition = ["0 mm", "90 mm"]', 'position = ["0 mm", "-140 mm"]'
    )
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    case = read_case(tmp_path)
    draft = draft_of(case)
    assert why_not(case, draft) == ()
    (said,) = why_not(case, replace(draft, places=(draft.places[0], (0.0, -0.05))))
    assert "has to keep clear of port 'rear'" in said


def test_a_passive_crossover_has_nothing_to_move():
    limits = limits_of(read_case(CASES / "compact-passive"))
    assert [each.movable for each in limits.corners] == [False]
    assert "its parts decide" in limits.corners[0].why_not
    assert all("passive crossover" in each.why_not for each in limits.delays)


def test_crossovers_keep_their_order():
    corners = limits_of(read_case(CASES / "floorstander")).corners
    assert [each.name for each in corners] == ["woofer to midrange", "midrange to tweeter"]
    assert corners[0].span[1] < corners[1].span[0]


def test_the_largest_edges_leave_room_for_every_frame():
    most = {each.kind: each.most for each in limits_of(CASE).edges}
    # The woofer's frame is 165 mm wide, the front 220 mm: 27.5 mm on either side.
    assert most["rounded"] == pytest.approx(0.027)
    assert most["chamfered"] == pytest.approx(0.027)
    draft = replace(draft_of(CASE), edges=Edges("rounded", most["rounded"]))
    assert drafted(CASE, replace(draft, places=((0.0, 0.1), (0.0, -0.04)))).cabinet.rounds


def test_a_plate_without_thickness_has_no_edges():
    limits = limits_of(read_case(CASES / "open-baffle"))
    assert all(each.why_not for each in limits.edges if each.kind != "as drawn")


def test_a_driver_that_fills_its_face_does_not_move():
    tight = replace(CASE, cabinet=replace(CASE.cabinet, width=0.16502, height=0.16502))
    woofer = limits_of(tight).places[1]
    assert not woofer.movable
    assert "its frame (165 mm) has no room to move" in woofer.why_not
    assert woofer.up == (-0.02, -0.02)

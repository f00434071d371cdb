"""A cabinet with its edges treated in some way, and all of it that is solved before a search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from acoustics.case.design.model import Cabinet, Case, Chamfer, FrequencyGrid, Rounding
from acoustics.case.design.place_model import Moved, Place, Quality, Treatment
from acoustics.case.varied import with_home
from acoustics.conventions import GeometryError, RoundoverError
from acoustics.field.plan import Progress
from acoustics.listening.bounce import BEYOND, HIGHEST
from acoustics.studies.driver_map.moved import Fields, Radiation, radiations_of
from acoustics.studies.driver_map.scene import Scene, scene_of
from acoustics.studies.driver_map.study import window_directions
from acoustics.studies.layout_search.figures import figures
from acoustics.studies.layout_search.places import (
    Allowed,
    allowed_places,
    broken,
    drawn_layouts,
    shortfall,
)
from acoustics.studies.layout_search.question import searched_crossovers
from acoustics.studies.layout_search.rule import Rule
from acoustics.studies.layout_search.rules import rules_of
from acoustics.studies.layout_search.sites import bare_lattice, fits, sites_of
from acoustics.studies.layout_search.variables import Unknowns, unknowns_of

NEAR = 200
"""layouts among which that nearest to the present one is chosen where this does not fit"""


@dataclass(frozen=True)
class Variant:
    """One treatment of the edges: `case` is the design with it, cut to the frequencies that count.

    `radiations` are those of the drivers taken out of the scene, in its order.
    """

    treatment: Treatment | None
    case: Case
    asked: Place
    rules: tuple[Rule, ...]
    allowed: Allowed
    unknowns: Unknowns
    scene: Scene
    radiations: tuple[Radiation, ...]

    @cached_property
    def still(self) -> list[tuple[Fields, np.ndarray]]:
        """Fields and centres of the drivers taken out that stay where they are."""
        found = []
        for driver, radiation in list(zip(self.unknowns.taken, self.radiations, strict=True))[
            len(self.unknowns.sites) :
        ]:
            (site,) = sites_of(self.case, [Moved(self.case.drivers[driver].name)])
            place = [np.array([each]) for each in site.driver.position]
            fields = radiation.exactly(bare_lattice(site), *place)
            found.append((_complex(fields), site.frame.points(*place)))
        return found

    def shortfall(self, rows: np.ndarray) -> np.ndarray:
        """By how much layouts break the rules, m: (layout,)."""
        return shortfall(self.rules, self.unknowns.positions(rows))

    def broken(self, row: np.ndarray) -> tuple[str, ...]:
        """What one layout breaks, in words: the rules, and spans of corners and delays."""
        said = list(broken(self.rules, self.unknowns.positions(row[None])))
        for variable, value in zip(self.unknowns.variables, row, strict=True):
            if variable.kind in ("corner", "delay"):
                slack = 1e-9 * max(abs(variable.low), abs(variable.high))
                if not variable.low - slack <= value <= variable.high + slack:
                    said.append(f"the span of {variable.name} does not hold what the case has")
        return tuple(said)

    def exact_fields(self, rows: np.ndarray) -> list[Fields]:
        """Fields of the moved drivers, each layout solved by itself."""
        moved = zip(self.unknowns.sites, self.unknowns.positions(rows), strict=True)
        return [
            _complex(radiation.exactly(bare_lattice(site), places[:, 0], places[:, 1]))
            for radiation, (site, places) in zip(self.radiations, moved, strict=False)
        ]

    def exactly(self, rows: np.ndarray, wanted: Sequence[Quality]) -> dict[Quality, np.ndarray]:
        """Qualities of layouts, each solved by itself, dB, (layout,)."""
        return self.judged(self.scene, rows, self.exact_fields(rows), wanted)

    def round_about(self, row: np.ndarray, reach: float) -> Variant:
        """The same with places no farther from a layout's than `reach` (m) either way."""
        variables = tuple(
            replace(
                each,
                low=min(max(each.low, value - reach), value),
                high=max(min(each.high, value + reach), value),
            )
            if each.kind in ("right", "up")
            else each
            for each, value in zip(self.unknowns.variables, row.tolist(), strict=True)
        )
        ends = np.array([[each.low, each.high] for each in variables])
        boxes = tuple(ends[2 * n : 2 * n + 2] for n in range(len(self.unknowns.sites)))
        return replace(
            self,
            unknowns=replace(self.unknowns, variables=variables),
            allowed=replace(self.allowed, boxes=boxes),
        )

    def judged(
        self,
        scene: Scene,
        rows: np.ndarray,
        moved: Sequence[Fields],
        wanted: Sequence[Quality],
        still: Sequence[tuple[Fields, np.ndarray]] | None = None,
    ) -> dict[Quality, np.ndarray]:
        """Qualities of layouts from the fields of the moved drivers, dB, (layout,)."""
        rest = self.still if still is None else still
        return figures(
            scene,
            [*moved, *(fields for fields, _ in rest)],
            [*self.unknowns.centres(rows), *(centre for _, centre in rest)],
            self.unknowns.factors(rows, scene.frequency),
            wanted,
            self.asked.band,
            self.asked.smoothing,
        )


def variant_of(
    case: Case,
    asked: Place,
    treatment: Treatment | None,
    told: Sequence[Quality],
    progress: Progress | None = None,
) -> Variant:
    """Solve what is fixed about a design with its edges treated.

    Args:
        case: the design.
        asked: the checked question.
        treatment: of the edges, None for those of the case.
        told: qualities that are to be told.
        progress: called from time to time with (parts done, all parts).

    Raises:
        RoundoverError: edges that cannot be had, or rules that leave no place.
    """
    where = case.path or case.title
    if treatment is not None:
        where = f"{where}: treatment '{treatment.name}'"
        treated = replace(case, cabinet=treated_cabinet(case.cabinet, treatment))
        case = with_home(treated, case)
    try:
        sites = sites_of(case, asked.moved)
        rules = rules_of(case, asked, sites)
        allowed = allowed_places(sites, rules, where)
        crossovers = searched_crossovers(case, asked)
        unknowns = unknowns_of(case, asked, sites, allowed.boxes, crossovers)
        placed = _placed(case, unknowns, rules, allowed, asked.seed)
        cut = replace(placed, frequencies=_counting(case, asked, told))
        scene = scene_of(cut, unknowns.taken, window_directions(asked.window))
        radiations = radiations_of(scene, unknowns.taken, progress)
    except GeometryError as error:
        way_out = "" if treatment is None else "; cut less off the edges, or leave it out"
        raise RoundoverError(f"{where}: {error}{way_out}") from error
    return Variant(treatment, scene.case, asked, rules, allowed, unknowns, scene, radiations)


def treated_cabinet(cabinet: Cabinet, treatment: Treatment) -> Cabinet:
    """A cabinet with the edges of a treatment in place of its own."""
    return replace(
        cabinet,
        rounds=tuple(Rounding(edge, radius) for edge, radius in treatment.rounds),
        chamfers=tuple(Chamfer(edge, setbacks) for edge, setbacks in treatment.chamfers),
    )


def _counting(case: Case, asked: Place, told: Sequence[Quality]) -> FrequencyGrid:
    """The frequencies of a case on which figures rest: the same, without what lies beyond."""
    grid = case.frequencies
    if any(driver.measured for driver in case.drivers):
        # How a measured source joins its model may rest on all of them.
        return grid
    low, high = with_smoothing(grid, asked)
    if "floor dip" in told:
        low, high = grid.lowest, max(high, BEYOND * HIGHEST * 2 ** (2 / grid.per_octave))
    return replace(grid, lowest=max(low, grid.lowest), highest=min(high, grid.highest))


def with_smoothing(grid: FrequencyGrid, asked: Place) -> tuple[float, float]:
    """The band with what its smoothing sees, and a step to either side, Hz."""
    more = (0.5 / asked.smoothing if asked.smoothing else 0.0) + 2.0 / grid.per_octave
    return asked.band[0] * 2**-more, asked.band[1] * 2**more


def _placed(
    case: Case, unknowns: Unknowns, rules: Sequence[Rule], allowed: Allowed, seed: int
) -> Case:
    """The case with its moved drivers where they fit: as they are, or near by."""
    present = [np.array([site.driver.position]) for site in unknowns.sites]
    all_fit = all(
        fits(case, site, *at.T).all() for site, at in zip(unknowns.sites, present, strict=True)
    )
    if all_fit:
        return case
    layouts = drawn_layouts(rules, allowed, NEAR, np.random.default_rng(seed))
    if not len(layouts):
        return case
    away = np.linalg.norm(layouts - np.stack(present, axis=1), axis=-1).sum(axis=1)
    nearest = layouts[int(away.argmin())]
    places = {site.index: nearest[n] for n, site in enumerate(unknowns.sites)}
    drivers = tuple(
        replace(driver, position=(float(places[n][0]), float(places[n][1])))
        if n in places
        else driver
        for n, driver in enumerate(case.drivers)
    )
    return replace(case, drivers=drivers)


def _complex(fields: Fields) -> Fields:
    """The same in double precision, which sums of pressures are made in."""
    free, floor = fields
    return free.astype(complex), None if floor is None else floor.astype(complex)

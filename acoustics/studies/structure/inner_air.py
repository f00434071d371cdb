"""The air inside: its standing waves, what excites them, what is done about them and could be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.structure_materials import LININGS
from acoustics.case.design.structure_model import Lining, Structure
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import in_unit
from acoustics.structure.air_bands import WavesInBand, corner_bands, waves_in_bands
from acoustics.structure.air_inside import lining_fault, the_enclosure
from acoustics.structure.air_modes import AirModes, air_modes
from acoustics.structure.air_places import Opening, QuietHeights, openings_of, quiet_heights
from acoustics.structure.air_response import (
    AirResponse,
    fill_resistivity,
    planned_losses,
    response,
)
from acoustics.structure.lining_damping import BARE_LOSS, damped
from acoustics.structure.lining_parts import Treatment, treated
from acoustics.structure.lining_table import LiningTable, lining_table
from acoustics.studies.structure.found import Advice, WaveGain
from acoustics.studies.structure.shaking import AirParts
from acoustics.studies.wording import hertz

MATERIAL = "mineral wool"
"""of a lining that is proposed: one of the usual ones"""

THICKNESSES = (0.025, 0.050)
"""m: of what practice lines a cabinet with (common practice, no source)"""

FULL = 0.5
"""share of the inside that loose fill takes where it is proposed: more slows the air down too"""

RINGING = 10.0
"""dB by which the peak of a standing wave must be lowered for it not to ring (common practice, no
source)"""

DRIVEN = 0.3
"""strength from which on an opening drives a wave; 1 is as much as the mean over the volume"""

BETTER = 6.0
"""dB by which more damping must lower the loudest wave that rings to be proposed (common practice,
no source)"""

GONE = 30.0
"""dB by which the peak of a wave is lowered where its Q is about 3"""

QUIETER = 0.25
"""share of what a driver excites now that must be left at a quiet height for it to be proposed"""


@dataclass(frozen=True)
class InnerAir:
    """What is told of the air, see `StructureFound`; `losses` as `planned_losses` gives them."""

    modes: AirModes
    openings: tuple[Opening, ...]
    losses: tuple[np.ndarray, np.ndarray]
    response: AirResponse
    bare: AirResponse
    linings: LiningTable
    bands: tuple[WavesInBand, ...]
    quiet_heights: tuple[QuietHeights, ...]

    @property
    def parts(self) -> AirParts:
        """What tells the pressure on the walls."""
        return self.modes, self.openings, self.losses

    @property
    def drop(self) -> np.ndarray:
        """By how much what is planned lowers each wave, dB, shape (mode,)."""
        answer: np.ndarray = 20 * np.log10(self.losses[1] / BARE_LOSS)
        return answer

    def ringing(self) -> np.ndarray:
        """Which waves ring and are driven in a driver's band, shape (mode,)."""
        driven = np.zeros(self.modes.count, dtype=bool)
        bands = {each.driver: each.inside for each in self.bands}
        strong = np.abs(self.response.strength) > DRIVEN
        for opening, strength in zip(self.openings, strong, strict=True):
            if opening.kind == "driver":
                driven |= strength & bands.get(opening.name, np.ones(len(driven), dtype=bool))
        return driven & (self.drop < RINGING)


def air_parts(case: Case, structure: Structure) -> AirParts:
    """The standing waves in a cabinet, what meets them, and what damps them.

    Args:
        case: the design.
        structure: its walls and linings.

    Raises:
        AirError: see `one_space`.
    """
    modes = air_modes(case, structure)
    return (
        modes,
        openings_of(case, modes.inside, structure),
        planned_losses(case, structure, modes),
    )


def inner_air(case: Case, structure: Structure, frequency: np.ndarray) -> InnerAir:
    """All that is told of the air in a cabinet.

    Args:
        case: the design.
        structure: its walls and linings.
        frequency: Hz, shape (frequency,).

    Raises:
        AirError: see `one_space`.
    """
    modes, openings, losses = air_parts(case, structure)
    inside = [each.name for each in openings if each.kind == "driver"]
    bands = {name: band for name, band in corner_bands(case).items() if name in inside}
    return InnerAir(
        modes=modes,
        openings=openings,
        losses=losses,
        response=response(modes, openings, frequency, losses),
        bare=response(modes, openings, frequency),
        linings=lining_table(case, structure, modes),
        bands=waves_in_bands(modes.frequency, bands),
        quiet_heights=tuple(quiet_heights(case, modes, name, structure) for name in inside),
    )


def air_advice(case: Case, structure: Structure, air: InnerAir) -> tuple[Advice, ...]:
    """What to do about standing waves that ring: lining, else fill, and quieter places."""
    if not air.modes.count:
        return ()
    ringing = np.flatnonzero(air.ringing())
    damping = _damping(case, structure, air, ringing) if ringing.size else None
    moves = _moves(case, air)
    return (*(() if damping is None else (damping,)), *moves)


def _damping(case: Case, structure: Structure, air: InnerAir, ringing: np.ndarray) -> Advice | None:
    """The thinnest lining after which nothing rings, else the lining or fill that does most."""
    enclosure = the_enclosure(case)
    fill = 0.0 if enclosure is None else enclosure.fill
    loose = fill_resistivity(structure)
    tried: list[tuple[Treatment, Lining | None]] = []
    lined = {wall for each in structure.linings for wall in each.walls}
    bare = tuple(
        wall for wall in air.modes.inside.walls if wall and wall not in lined and not _front(wall)
    )
    if bare:
        for thickness in THICKNESSES:
            more = Lining(bare, thickness, *LININGS[MATERIAL])
            linings = (*structure.linings, more)
            if not lining_fault(air.modes.inside, linings):
                done = treated(air.modes, linings, fill=fill, fill_resistivity=loose)
                tried.append((done, more))
    if enclosure is not None and fill < FULL:
        filled = treated(air.modes, structure.linings, fill=FULL, fill_resistivity=loose)
        tried.append((filled, None))
    best: tuple[float, Lining | None, np.ndarray] | None = None
    for done, lining in tried:
        drop = 20 * np.log10(damped(air.modes, done)[1] / BARE_LOSS) - air.drop
        # The wave that is damped least counts.
        least = float(drop[ringing].min())
        if best is None or least > best[0] + 1.0:
            best = (least, lining, drop)
        if float((drop + air.drop)[ringing].min()) >= RINGING:
            break
    if best is None or float(best[2][ringing].max()) < BETTER:
        return None
    _, lining, drop = best
    waves = tuple(
        WaveGain(air.modes.names[n], float(air.modes.frequency[n]), float(drop[n])) for n in ringing
    )
    lowest = float(air.modes.frequency[ringing[0]])
    several = len(ringing) > 1
    first = [hertz(float(air.modes.frequency[n])) for n in ringing[:3]]
    gone = float((drop + air.drop)[ringing[0]]) > GONE
    why = (
        f"the standing wave{'s' if several else ''} at {listed(first)}"
        f"{' and others above' if len(ringing) > 3 else ''} ring{'' if several else 's'} and "
        f"fall{'' if several else 's'} into what a driver plays; with it the first "
        + ("is all but gone" if gone else f"falls by {float(drop[ringing[0]]):.0f} dB")
    )
    quarter = in_unit(air.modes.air.speed_of_sound / lowest / 4, "mm", digits=2)
    practice = (
        "practice lines walls with 25 to 50 mm, and says that a layer works from a quarter of a "
        f"wave on, {quarter} at {hertz(lowest)}; the calculation "
        + (
            "finds less to be enough here"
            if gone or float(drop[ringing[0]]) > BETTER
            else "agrees: it does little for the lowest wave, loose fibre in the middle does more"
        )
    )
    if lining is None:
        assert enclosure is not None
        return Advice(
            kind="fill",
            what="loose fibre in half of the inside",
            where=f"in the middle of the enclosure {enclosure.name}, held by a net",
            why=why,
            practice=practice + "; it makes the box seem larger, so look at its tuning again",
            waves=waves,
            toml=f"# into [enclosures.{enclosure.name}]\nfill = {FULL:g}\n",
        )
    depth = in_unit(lining.thickness, "mm")
    volume = treated(air.modes, (lining,)).layer_volume
    return Advice(
        kind="lining",
        what=f"{depth} of {MATERIAL}",
        where=f"on the {listed(list(lining.walls))}",
        why=why,
        practice=practice,
        walls=lining.walls,
        waves=waves,
        mass=volume * lining.density,
        toml=(
            "[[structure.linings]]\n"
            f"walls = [{', '.join(chr(34) + wall + chr(34) for wall in lining.walls)}]\n"
            f'material = "{MATERIAL}"\nthickness = "{depth}"\n'
        ),
        lining=lining,
    )


def _front(wall: str) -> bool:
    """Whether a wall is the front, which practice leaves bare for the drivers."""
    return wall == "front"


def _moves(case: Case, air: InnerAir) -> Iterator[Advice]:
    """Drivers that excite waves that ring, and would hardly at another height."""
    ringing = air.ringing()
    for heights in air.quiet_heights:
        own = [n for n in heights.modes[:3] if ringing[n]]
        present = case.driver(heights.driver).position[1]
        if not own or heights.loudness > QUIETER:
            continue
        yield Advice(
            kind="move driver",
            what=f"{heights.driver} at a quieter height",
            where=(
                f"{in_unit(round(heights.best, 3), 'mm')} above the middle of its face in place of "
                f"{in_unit(round(present, 3), 'mm')}"
            ),
            why=(
                "there it excites the standing waves along the height by "
                f"{-10 * np.log10(max(heights.loudness, 1e-3)):.0f} dB less, the one at "
                f"{hertz(float(air.modes.frequency[own[0]]))} among them"
            ),
            practice=(
                "practice puts drivers where edges, floor and the other drivers want them, and "
                "damps what rings; lining is the lesser change"
            ),
        )


def lined(structure: Structure, advice: tuple[Advice, ...]) -> Structure:
    """A structure with the linings of some advice."""
    more = tuple(each.lining for each in advice if each.lining is not None)
    return replace(structure, linings=(*structure.linings, *more))


def with_fill(case: Case, advice: tuple[Advice, ...]) -> Case:
    """A case whose enclosure is filled where advice says so."""
    if not any(each.kind == "fill" for each in advice):
        return case
    return replace(case, enclosures=tuple(replace(each, fill=FULL) for each in case.enclosures))

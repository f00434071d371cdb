"""What a cabinet does besides what its drivers do, and what should be changed about it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.case.text.phrases import listed
from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.structure.air_inside import AirError, shelf_notes
from acoustics.structure.cutting import CutList, cut_list
from acoustics.structure.nest_model import SheetPlan
from acoustics.structure.nesting import nest
from acoustics.structure.wall_effects import brace_effects, brace_options
from acoustics.structure.wall_forced import WallResponse
from acoustics.structure.wall_groups import Group
from acoustics.structure.wall_modes import WallModes, modes_of, panels_of
from acoustics.structure.walls import Wall
from acoustics.studies.structure.advice import wall_advice
from acoustics.studies.structure.bracing import Bracing, bracing
from acoustics.studies.structure.candidates import twin_of
from acoustics.studies.structure.found import (
    Advice,
    Closest,
    StructureFound,
    WallGain,
    WallSound,
)
from acoustics.studies.structure.inner_air import (
    InnerAir,
    air_advice,
    air_parts,
    inner_air,
    lined,
    with_fill,
)
from acoustics.studies.structure.shaking import excitation, played, pressure_known
from acoustics.studies.structure.sound import (
    QUIET,
    at_level,
    closest_of,
    frequencies,
    wall_sound,
)
from acoustics.studies.structure.trials import Trials
from acoustics.studies.structure.usual import require_walls, usual_structure
from acoustics.studies.structure.volumes import stated_braces, volumes_of
from acoustics.studies.structure.wall_fields import HIGHEST, wall_fields
from acoustics.studies.wording import amount, hertz

FAR_ENOUGH = 1000.0
"""Hz: up to where walls of usual cabinets ring loudest (common practice, no source)"""

MOST_OPTIONS = 2
"""Walls of which all braces of the trade are told; twins count as one."""


@one_blas_thread()
def structure_study(
    case: Case,
    *,
    level: float | None = None,
    progress: Callable[..., Any] | None = None,
    solve: Callable[..., xr.DataArray] | None = None,
) -> StructureFound:
    """Walls, braces, the air inside, boards to cut, and what to change before the saw.

    A case that does not say what it is built of is taken to be of the usual board.

    Args:
        case: the design.
        level: of the drivers at 1 m on the reference axis, dB, at which pressures and movements
            are told, too; None: at the input voltage of a prediction.
        progress: handed to `solve`.
        solve: what computes the field, with the signature of `acoustics.field.solve_field`
            (the default).

    Raises:
        RoundoverError: an open baffle, or walls of unknown thickness.
        GeometryError: a driver or brace that cannot be where the case puts it.

    Example:
        >>> import acoustics as ac
        >>> found = ac.structure_study(ac.read_case("case.toml"))  # doctest: +SKIP
        >>> [advice.what for advice in found.proposal]  # doctest: +SKIP
    """
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field
    require_walls(case)
    structure = usual_structure(case) if case.structure is None else case.structure
    assumed = case.structure is None
    case = replace(case, structure=structure)
    frequency = frequencies(min(structure.reach, HIGHEST))
    panels = panels_of(case, structure)
    trials = Trials(panels, structure, frequency, None, None, np.ones(frequency.size))
    groups = trials.groups(structure.braces)
    responses = trials.responses(structure.braces)
    air, air_left_out = _air(case, structure, frequency)

    heard = playing = shaken = sound = None
    if responses and any(driver.small_signal is not None for driver in case.drivers):
        heard = wall_fields(case, responses, frequency, solve=solve, progress=progress)
        playing = played(case, heard, solve)
        shaken = excitation(
            case, trials.walls, playing, frequency, None if air is None else air.parts
        )
    if shaken is not None and heard is not None and playing is not None:
        sound = wall_sound(case, responses, shaken, heard, playing)
        drivers = np.einsum("xf,xrf->rf", playing.sent, heard.radiators)
        against = heard.weights @ np.abs(drivers) ** 2
        trials = replace(trials, shaken=shaken, heard=heard, against=against)
    closest = () if sound is None else closest_of(sound)

    about_air = () if air is None else air_advice(case, structure, air)
    start, calmer = trials, shaken
    if air is not None and any(each.kind in ("lining", "fill") for each in about_air):
        # First what damps the air: standing waves shake walls, too.
        calm = lined(structure, about_air)
        if playing is not None:
            parts = air_parts(with_fill(case, about_air), calm)
            calmer = excitation(case, trials.walls, playing, frequency, parts)
        start = replace(trials, panels=panels_of(case, calm), structure=calm, shaken=calmer)
    done = bracing(case, start) if responses else Bracing((), (), (), (), start, {})
    proposed = done.trials.structure
    sound_after = None
    if (proposed != structure or start is not trials) and calmer and heard and playing:
        answer = done.trials.responses(proposed.braces)
        sound_after = wall_sound(case, answer, calmer, heard, playing)
    gains = tuple(_gains(trials, done.trials, groups, responses, sound, sound_after))
    advice = (*wall_advice(case, structure, done, gains), *about_air)
    boards, sheets, cutting_left_out = _cutting(case, structure)
    return StructureFound(
        structure=structure,
        assumed=assumed,
        walls=_in_order(modes_of(groups, structure.reach), trials.walls),
        brace_effects=brace_effects(panels, structure),
        brace_options=brace_options(panels, structure, _worth_options(trials.walls, closest)),
        responses=responses,
        excitation=shaken,
        sound=sound,
        closest=closest,
        at_level=(
            None if sound is None or shaken is None else at_level(responses, shaken, sound, level)
        ),
        air=None if air is None else air.modes,
        air_response=None if air is None else air.response,
        air_bare=None if air is None else air.bare,
        linings=None if air is None else air.linings,
        bands=() if air is None else air.bands,
        quiet_heights=() if air is None else air.quiet_heights,
        air_left_out=air_left_out,
        proposal=advice or (_nothing(closest),),
        proposed=proposed,
        sound_after=sound_after,
        gains=gains,
        cut_list=boards,
        sheets=sheets,
        cutting_left_out=cutting_left_out,
        volumes=volumes_of(case, structure, proposed),
        notes=tuple(_notes(case, structure, assumed, trials.walls, air, done)),
    )


def _air(case: Case, structure: Structure, frequency: np.ndarray) -> tuple[InnerAir | None, str]:
    try:
        return inner_air(case, structure, frequency), ""
    except AirError as error:
        return None, str(error)


def _in_order(found: Sequence[WallModes], walls: Sequence[Wall]) -> tuple[WallModes, ...]:
    names = [wall.name for wall in walls]
    return tuple(sorted(found, key=lambda each: names.index(each.wall.name)))


def _worth_options(walls: Sequence[Wall], closest: Sequence[Closest]) -> list[str]:
    """Walls of which braces are told: the loudest that are not quiet; else the largest."""
    loud = [each.wall for each in closest[:-1] if each.level > QUIET]
    if not loud:
        loud = [wall.name for wall in sorted(walls, key=lambda wall: -math.prod(wall.size))]
        loud = loud[:1]
    by_name = {wall.name: wall for wall in walls}
    chosen: list[str] = []
    for name in loud:
        twin = twin_of(by_name[name], walls)
        if twin is None or twin.name not in chosen:
            chosen.append(name)
    return chosen[:MOST_OPTIONS]


def _gains(
    before: Trials,
    after: Trials,
    groups: Sequence[Group],
    responses: Sequence[WallResponse],
    sound: WallSound | None,
    sound_after: WallSound | None,
) -> Iterator[WallGain]:
    """What the proposal does to every wall; none if nothing changes about walls."""
    if after.structure == before.structure and sound_after is None:
        return
    lowest = [_lowest(groups), _lowest(after.groups(after.structure.braces))]
    if sound is not None and sound_after is not None:
        means = [np.mean(10 ** (each.volume_level / 10), axis=1) for each in (sound, sound_after)]
        near = [{each.wall: each.level for each in closest_of(one)} for one in (sound, sound_after)]
    else:
        answers = (responses, after.responses(after.structure.braces))
        means = [
            np.array([np.mean(np.abs(one.per_pressure) ** 2) for one in each]) for each in answers
        ]
        unknown = dict.fromkeys((wall.name for wall in before.walls), math.nan)
        near = [unknown, unknown]
    for number, wall in enumerate(before.walls):
        yield WallGain(
            wall=wall.name,
            volume=float(10 * np.log10(means[1][number] / means[0][number])),
            closest=(near[0][wall.name], near[1][wall.name]),
            lowest=(lowest[0][wall.name], lowest[1][wall.name]),
        )


def _lowest(groups: Sequence[Group]) -> dict[str, float]:
    """Lowest mode of every wall, Hz."""
    return {each.wall.name: float(each.frequency[0]) for each in modes_of(groups, 0.0)}


def _cutting(case: Case, structure: Structure) -> tuple[CutList | None, tuple[SheetPlan, ...], str]:
    try:
        boards = cut_list(case)
    except RoundoverError as error:
        return None, (), str(error)
    try:
        return boards, nest(boards.boards, structure.sheet), ""
    except RoundoverError as error:
        return boards, (), str(error)


def _nothing(closest: Sequence[Closest]) -> Advice:
    loudest = closest[0] if closest else None
    near = (
        ""
        if loudest is None
        else f"{amount(loudest.level, 'dB')} (the {loudest.wall}, about {hertz(loudest.frequency)})"
    )
    if loudest is None:
        why = "nothing that was tried is worth its wood"
    elif loudest.level > QUIET:
        why = f"a wall comes as close to the drivers as {near}, but nothing tried is worth its wood"
    else:
        why = f"no wall comes closer to the drivers than {near}, and no standing wave rings"
    return Advice(
        kind="nothing",
        what="nothing to change",
        where="",
        why=why,
        practice=f"practice calls a wall quiet from {-QUIET:.0f} dB below the drivers on",
    )


def _notes(
    case: Case,
    structure: Structure,
    assumed: bool,
    walls: Sequence[Wall],
    air: InnerAir | None,
    done: Bracing,
) -> Iterator[str]:
    """What is left out, assumed, or should be known."""
    if assumed:
        yield (
            f"the case has no table [structure]: walls are taken to be of {structure.material}, "
            "without braces and lining"
        )
    missing = [driver.name for driver in case.drivers if driver.small_signal is None]
    if len(missing) == len(case.drivers):
        yield (
            "no driver has small-signal parameters: pressure inside and forces are not known, nor "
            "how loud walls are; what is proposed goes by an even pressure alone"
        )
    elif missing:
        yield (
            f"{listed(missing)} without small-signal parameters: the force on the wall and the "
            "pressure behind are not known, so walls may be louder than is told"
        )
    untold = [each.name for each in case.enclosures if not pressure_known(case, each)]
    if untold and len(missing) < len(case.drivers):
        yield f"the pressure in {listed(untold)} is not known"
    if not case.enclosures:
        yield "no enclosure is stated: walls are shaken by the drivers' forces alone"
    if len(case.enclosures) > 1:
        yield (
            "every wall feels the mean of the pressures of all enclosures, weighted by their "
            "volumes, and no board between them holds it: the case does not say where these stand"
        )
    elif air is not None:
        yield (
            "on each wall counts the mean of the pressure with its standing waves; what is uneven "
            "over a wall is left out"
        )
    if structure.reach > HIGHEST:
        yield f"walls are heard up to {hertz(HIGHEST)}, modes told up to {hertz(structure.reach)}"
    if structure.reach < FAR_ENOUGH:
        yield (
            f"walls and air are judged up to {hertz(structure.reach)} alone, as the case asks: "
            "what rings above may be heard all the same"
        )
    weightless = [
        cutout.name
        for wall in walls
        for cutout in wall.cutouts
        if cutout.driver is not None and not cutout.mass
    ]
    if weightless:
        yield f"{listed(weightless)} of unknown mass: walls are told without that weight"
    for name, gain in done.refused:
        if not any(name == each.wall for each in done.added):
            yield (
                f"no brace and no thicker board that was tried lowers the {name} beside the "
                f"drivers by more than {max(gain, 0.0):.1f} dB, over all frequencies told"
            )
    stated = [each.name for each in case.enclosures if stated_braces(each) > 0]
    if done.added and stated and not structure.braces:
        yield (
            f"leave out enclosures.{stated[0]}.braces once braces stand in [structure]: what they "
            "take then follows from their sizes"
        )
    changed = done.added or done.thicker
    if changed and done.trials.shaken and max(done.left.values()) > QUIET:
        yield (
            "even with the proposal some wall is not quiet: see the levels; with it in the case, "
            "ask again, because a further brace or a thicker board is judged beside what is there"
        )
    yield from shelf_notes(structure) if air is not None else ()
    yield (
        "left out: that the whole cabinet recoils, what air weighs on walls, leaks between boards, "
        "and that real joints and boards differ by a fifth from those of handbooks"
    )

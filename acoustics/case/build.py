"""From checked tables to the frozen objects of the model."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, replace

from acoustics.case.checks.meaning import reference_driver
from acoustics.case.design import model
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Enclosure
from acoustics.case.design.faces import Faces
from acoustics.case.design.files_model import CaseText, FileText
from acoustics.case.design.structure_model import Structure
from acoustics.case.design.sweep_model import Sweep
from acoustics.case.geometry.brace_solids import volumes_taken
from acoustics.case.geometry.cabinet_of import cabinet_of
from acoustics.case.geometry.shape import faces_of
from acoustics.case.geometry.shell import own_walls, shell_of
from acoustics.case.objects.driver_of import driver_of
from acoustics.case.objects.enclosures_of import enclosure_of
from acoustics.case.objects.measurement_of import measurement_of
from acoustics.case.objects.network_of import element_of
from acoustics.case.objects.place_of import place_of
from acoustics.case.objects.sections_of import sections_of
from acoustics.case.objects.structure_of import structure_of
from acoustics.case.objects.verification_of import verification_of
from acoustics.case.tables.aim_table import FIGURES, AimTable, band_of
from acoustics.case.tables.amplifier_table import AmplifierTable
from acoustics.case.tables.brief_table import BriefTable
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.tables.crossover_tables import BranchTable
from acoustics.case.tables.fit_table import fit_of
from acoustics.case.tables.room_tables import PAIR, SURFACES, PlacementTable, SeatTable
from acoustics.case.text.units import hertz
from acoustics.conventions import MAIN_SEAT, air_at
from acoustics.curves import Curve


def build_case(
    text: CaseTable,
    path: str,
    sweep: Sweep | None,
    written: CaseText,
    warnings: tuple[str, ...],
    curves: Mapping[str, Curve],
    responses: Mapping[str, Curve],
) -> model.Case:
    """The case of `text`, which must have passed every check.

    `written` is what it was read from, `curves` are drivers' impedances, `responses` what they
    were measured to give (Pa).
    """
    texts = written.others.numbers
    cabinet = cabinet_of(dict(text.cabinet))
    faces = faces_of(cabinet)
    air = air_at(text.air.temperature)
    drivers = tuple(
        driver_of(name, table, faces, air, curves.get(name), responses.get(name))
        for name, table in text.drivers.items()
    )
    wall = cabinet.wall_thickness or 0.0
    structure = None if text.structure is None else structure_of(text.structure, faces, wall)
    case = model.Case(
        title=text.title,
        note=text.note,
        path="",
        digest="",
        temperature=text.air.temperature,
        air=air,
        cabinet=cabinet,
        drivers=drivers,
        crossover=tuple(
            _branch(name, text.crossover[name], texts)
            for name in text.drivers
            if name in text.crossover
        ),
        reference=_reference(text, faces, drivers),
        placement=_placement(text.placement),
        seat=_seat(text.seat),
        surfaces=tuple(_surfaces(text)),
        aims=tuple(_aim(aim) for aim in text.aims),
        frequencies=model.FrequencyGrid(**text.frequencies.model_dump()),
        arc_step=text.arcs.step,
        accuracy=text.solver.accuracy,
        memory=text.solver.memory,
        sweep=sweep,
        warnings=warnings,
        enclosures=_enclosures(text, cabinet, drivers, structure),
        amplifier=None if text.amplifier is None else _amplifier(text.amplifier, texts),
        processor=None
        if text.processor is None
        else model.Processor(**text.processor.model_dump()),
        brief=None if text.brief is None else _brief(text.brief),
        fit=None if text.fit is None else fit_of(text.fit),
        measurement=None if text.measurement is None else measurement_of(text.measurement, cabinet),
        place=None if text.place is None else place_of(text.place),
        text=written,
        structure=structure,
    )
    if text.verification is not None:
        case = replace(case, verification=verification_of(text.verification, case))
    return replace(case, path=path, digest=digest(case))


def digest(case: model.Case) -> str:
    """SHA-256 (hex) of all that a prediction rests on, in SI units.

    Left out is what does not move a prediction: title, note and path; aims and brief; prices and
    masses of drivers; what the cabinet is built of, beyond the volume that this leaves; what is
    swept, may move or strays; recordings; and the memory allowed, which moves results by less than
    the accuracy. A table counts by its content, not by the name of its file.
    """
    plain = replace(case, title="", note="", path="", digest="", aims=(), memory=0.0, sweep=None)
    drivers = tuple(
        replace(
            driver,
            model="",
            price=None,
            mass=None,
            impedance=driver.impedance and replace(driver.impedance, source=""),
            measured=driver.measured and replace(driver.measured, source=""),
        )
        for driver in case.drivers
    )
    plain = replace(plain, brief=None, fit=None, measurement=None, drivers=drivers, warnings=())
    plain = replace(plain, place=None, tolerance=None, structure=None, verification=None)
    content = asdict(replace(plain, text=None))
    del content["sweep"], content["measurement"]
    for each in (content, content["measured_in"] or {}):
        for name in ("place", "tolerance", "structure", "verification", "text"):
            each.pop(name, None)
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _branch(driver: str, text: BranchTable, texts: Sequence[FileText]) -> model.Branch:
    return model.Branch(
        driver=driver,
        sections=sections_of(text.sections, texts),
        gain=0.0 if text.gain is None else text.gain,
        delay=text.delay,
        inverted=text.polarity == "inverted",
        slopes=text.slopes,
        level=text.level,
        most_gain=model.MOST_GAIN if text.most_gain is None else text.most_gain,
        elements=tuple(element_of(element) for element in text.parts or ()),
    )


def _amplifier(text: AmplifierTable, texts: Sequence[FileText]) -> Amplifier:
    others = text.model_dump(exclude={"sections", "polarity"})
    sections = sections_of(text.sections, texts)
    return Amplifier(sections=sections, inverted=text.polarity == "inverted", **others)


def _reference(
    text: CaseTable, faces: Faces, drivers: Sequence[model.Driver]
) -> model.ReferenceAxis:
    point = text.reference.point
    if point is None:
        name = text.reference.driver or reference_driver({d.name: asdict(d) for d in drivers})
        assert name is not None
        point = text.drivers[name].position
    x, y, _ = faces.frame("front").point(*_point(point))
    return model.ReferenceAxis((x, y), text.reference.distance)


def _placement(text: PlacementTable) -> model.Placement:
    return model.Placement(text.cabinets == PAIR, text.spacing or 0.0, text.toe_in)


def _seat(text: SeatTable) -> model.Seat:
    main = model.SeatPlace(MAIN_SEAT, text.distance, text.aside)
    others = (
        model.SeatPlace(name, main.distance if at.distance is None else at.distance, at.aside)
        for name, at in text.others.items()
    )
    return model.Seat((main, *others), tuple(text.ear_heights))


def _surfaces(text: CaseTable) -> Iterator[model.Surface]:
    for name, key in SURFACES.items():
        table = getattr(text, key)
        if table is None:
            continue
        position = getattr(table, "distance", getattr(table, "height", 0.0))
        reflection = 1.0 if table.reflection is None else table.reflection
        layer = table.absorber
        absorber = layer and model.Absorber(layer.thickness, layer.flow_resistivity)
        mirrors = getattr(table, "mirrors_cabinet", False)
        yield model.Surface(name, position, reflection, absorber, mirrors)


_PLACES = {
    "reference axis": "on the reference axis",
    "listening window": "in the listening window",
    "seat": "at the seat",
}


def _aim(text: AimTable) -> model.Aim:
    figure = FIGURES[text.measure]
    where = text.where or figure.where[0]
    band = band_of(text.measure, text.band)
    range_ = "" if band is None else f", {hertz(band[0])} to {hertz(band[1])}"
    return model.Aim(
        name=text.name or f"{text.measure} {_PLACES[where]}{range_}",
        measure=text.measure,
        where=where,
        band=band,
        smoothing=(text.smoothing or model.SMOOTHING) if figure.smoothing else None,
        at_least=text.at_least,
        at_most=text.at_most,
    )


def _enclosures(
    text: CaseTable,
    cabinet: model.Cabinet,
    drivers: Sequence[model.Driver],
    structure: Structure | None,
) -> tuple[Enclosure, ...]:
    if not text.enclosures:
        return ()
    own, braces = (structure.wall_materials, structure.braces) if structure else ((), ())
    shell, air = shell_of(cabinet, own_walls(own)), air_at(text.air.temperature)
    displaced = {driver.name: driver.displaced_volume for driver in drivers}
    volumes = volumes_taken(shell, braces, [*text.enclosures])
    return tuple(
        enclosure_of(name, dict(enclosure), displaced, shell, air, volumes[name])
        for name, enclosure in text.enclosures.items()
    )


def _brief(text: BriefTable) -> Brief:
    tilt = None if text.tilt is None else (text.tilt[0], text.tilt[1])
    others = text.model_dump(exclude={"tilt", "surfaces"})
    return Brief(tilt=tilt, surfaces=tuple(text.surfaces or ()), **others)


def _point(values: list[float]) -> tuple[float, float]:
    right, up = values
    return (right, up)

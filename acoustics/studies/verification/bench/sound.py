"""What a build sends to a microphone and what it draws, from what is solved of its design once.

Which polarity is which. `Driver.inverted` is how a driver's terminals are connected: it turns its
source, and in a shared box or behind a passive crossover what it gives the other drivers; a
computed filter does not turn it back. `Branch.inverted` belongs to the crossover: with electrical
slopes it turns the filter, with passive ones it swaps the terminals at the ladder's end, which
comes to the same as `Driver.inverted`; with acoustic ones it is part of what the filter was
computed for, and as a build keeps the filters of its design, it says nothing there, like level,
sections and delay of that branch. A driver that is connected the wrong way round on purpose has
`Driver.inverted` toggled: twice wrong is right.

A driver that does not play is silent, while its branch stays loaded as if it were connected.
Branches meet at the amplifier's terminals alone, so what the others get from that is a fraction of
what the resistance of amplifier and cable makes, a tenth of a decibel at most; and what is heard
of several is then the sum of what is heard of each, as it is in the prediction. Of two drivers in
one box the silent one counts as shorted, as a bench with a switch to unchanged has it: one whose
terminals hang free moves more than that near the resonance.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.prediction.built import FixedFilters
from acoustics.prediction.filters import Filters, filters_of
from acoustics.prediction.microphones import with_measured
from acoustics.prediction.together import together
from acoustics.source.drive import Drive, driven
from acoustics.source.measured import driver_impedance
from acoustics.source.motion import Motion, motion_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.bench.fields import Place
from acoustics.studies.verification.bench.fixed import Fixed
from acoustics.studies.verification.bench.kept import Kept


class Sound:
    """Builds of one design; what two of them share is worked out once. For one thread."""

    def __init__(self, unchanged: Fixed) -> None:
        self.unchanged = unchanged
        self._kept = Kept()

    def heard(self, built: Built, place: Place, turned: tuple[int, ...]) -> np.ndarray:
        """Pressure of every driver at a microphone per volt at the loudspeaker's input.

        Args:
            built: what is measured.
            place: of the microphone as it is stated, one of those that are solved, m.
            turned: drivers that are connected the wrong way round on purpose.

        Returns:
            Pa/V, complex, shape (driver, frequency), at `Fixed.sounding`.
        """
        unchanged = self.unchanged
        case = self._turned(built.case, turned)
        frequency = unchanged.frequency[unchanged.sounding]
        flown = self._flown(case, built.case, place, built.microphone)
        answer = self._filters(case, built.case).filters[:, unchanged.sounding] * flown
        if any(built.levels):
            answer *= 10 ** (np.array(built.levels)[:, None] / 20)
        if any(built.delays):
            answer *= np.exp(-2j * np.pi * frequency * np.array(built.delays)[:, None])
        return answer * 10 ** (built.gain / 20)

    def impedance(self, built: Built, driver: int | None) -> np.ndarray:
        """At the loudspeaker's terminals, or at one driver's with nothing else connected to it.

        Without the resistance of amplifier and cable, which lies on the other side. Other drivers
        in the box of that one count as shorted.

        Returns:
            Ohm, complex, shape (frequency,), on the whole grid.
        """
        case = built.case
        if driver is None:
            passive = self._filters(case, case).passive
            if passive is not None:
                return passive.network.input_impedance
        motion = self._motion(case)
        known = self._kept.get(
            "impedance",
            (motion, case.drivers),
            (),
            lambda: driver_impedance(case, motion, self.unchanged.frequency),
        )
        answer: np.ndarray = known[driver or 0]
        return answer

    def _turned(self, case: Case, turned: tuple[int, ...]) -> Case:
        if not turned:
            return case
        drivers = self._kept.get(
            "turned",
            (case.drivers,),
            (turned,),
            lambda: tuple(
                replace(driver, inverted=not driver.inverted) if number in turned else driver
                for number, driver in enumerate(case.drivers)
            ),
        )
        return replace(case, drivers=drivers)

    def _rows(self, case: Case) -> list[int]:
        try:
            return self._kept.get(
                "rows", (case.drivers, case.enclosures), (), lambda: self.unchanged.rows(case)
            )
        except KeyError as error:
            raise RoundoverError(
                f"a build has {error.args[0][2]}, which its design does not have; what moves air "
                "may be taken away or be different, but nothing new can be heard of"
            ) from None

    def _load(self, case: Case) -> np.ndarray | None:
        load, rows = self.unchanged.load, self._rows(case)
        if load is None or len(rows) == len(load):
            return load
        return load[np.ix_(rows, rows)]

    def _motion(self, case: Case) -> Motion:
        """What moves, which does not rest on how drivers are connected."""

        def make() -> Motion:
            _refuse_impossible(case)
            return motion_of(case, self.unchanged.frequency, self._load(case))

        from_what = (case.drivers, case.enclosures, case.amplifier)
        return self._kept.get("motion", from_what, _slopes(case), make)

    def _drive(self, case: Case, untouched: Case) -> Drive:
        """On the whole grid, by the model; `untouched` is the case without drivers turned."""
        motion = self._motion(untouched)
        return self._kept.get(
            "drive",
            (motion, case.drivers),
            (),
            lambda: driven(case, self.unchanged.frequency, motion, self._load(untouched)),
        )

    def _flown(
        self, case: Case, untouched: Case, place: Place, microphone: tuple[float, float, float]
    ) -> np.ndarray:
        """Source and field of every driver, Pa per volt at its own terminals or amplifier."""
        unchanged = self.unchanged
        drive = self._drive(case, untouched)

        def make() -> np.ndarray:
            field = self._field(place, microphone)[self._rows(untouched)]
            shares = drive.shares[..., unchanged.sounding]
            return self._source(case, drive) * together(field, shares)

        return self._kept.get(f"flown {place}", (drive,), microphone, make)

    def _source(self, case: Case, drive: Drive) -> np.ndarray:
        """Of every driver, measured ones as they were measured, at `sounding`."""
        unchanged = self.unchanged
        if unchanged.heard is None:
            return drive.source[:, unchanged.sounding]
        heard = unchanged.heard

        def make() -> np.ndarray:
            here = _at(drive, unchanged.sounding)
            found, _ = with_measured(case, here, heard, unchanged.frequency[unchanged.sounding])
            return found.source

        return self._kept.get("source", (drive,), (), make)

    def _field(self, place: Place, microphone: tuple[float, float, float]) -> np.ndarray:
        """Of every radiator of the design, Pa per m³/s."""
        unchanged = self.unchanged
        return self._kept.get(
            f"field {place}",
            (),
            microphone,
            lambda: unchanged.layout.per_radiator(unchanged.fields[place].at(microphone)),
        )

    def _filters(self, case: Case, untouched: Case) -> Filters:
        unchanged = self.unchanged
        drive = self._drive(case, untouched)

        def make() -> Filters:
            # Without computed filters no field is asked for; those of the design are held.
            nothing = np.zeros(drive.source.shape, dtype=complex)
            return filters_of(
                case,
                unchanged.frequency,
                drive,
                nothing,
                unchanged.centres,
                drive.low_end,
                self._fixed(case),
            )

        from_what = (drive, case.drivers, case.crossover, case.amplifier, case.processor)
        return self._kept.get("filters", from_what, (), make)

    def _fixed(self, case: Case) -> FixedFilters | None:
        """Computed filters as they are led to the drivers of a build: each stays on its output."""
        fixed = self.unchanged.fixed
        meant = {
            branch.driver: design.driver
            for branch, design in zip(case.crossover, self.unchanged.case.crossover, strict=True)
        }
        names = [driver.name for driver in self.unchanged.case.drivers]
        order = [names.index(meant.get(name, name)) for name in names]
        if fixed is None or order == list(range(len(names))):
            return fixed
        played = fixed.played
        if played is not None:
            played = played._replace(
                taps=played.taps[order],
                samples=played.samples[order],
                filters=played.filters[order],
            )
        return FixedFilters(fixed.filters[order], fixed.targets[order], played)


def _slopes(case: Case) -> tuple[str, ...]:
    """Whether the amplifier's resistance stands before a driver rests on these."""
    return tuple(branch.slopes for branch in branches_of(case))


def _at(drive: Drive, places: np.ndarray) -> Drive:
    """The drive at some of its frequencies."""
    motion = drive.motion
    return Drive(
        drive.source[:, places],
        drive.shares[..., places],
        drive.low_end[:, places],
        replace(
            motion,
            volume_velocity=motion.volume_velocity[..., places],
            leak=motion.leak[:, places],
            impedance=motion.impedance[:, places],
        ),
    )


def _refuse_impossible(case: Case) -> None:
    """Refuse enclosures that hold no air.

    Raises:
        RoundoverError: which.
    """
    for enclosure in case.enclosures:
        if not enclosure.volume > 0:
            raise RoundoverError(
                f"{enclosure.name}: {1e3 * enclosure.volume:.3g} l of air are left in it; "
                "a build with that cannot be"
            )

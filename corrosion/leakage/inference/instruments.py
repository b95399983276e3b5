"""How far instruments and eyes are to be trusted, and what a reading is worth so."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from corrosion.foundation.assumptions import Assumption, Assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MILLIAMPERE
from corrosion.leakage.filament import LampLaw

_THIN = 0.05  # range in standard deviations that counts as none


@dataclass(frozen=True, slots=True, kw_only=True)
class Instruments:
    """How far instruments and eyes are to be trusted; from the basis table."""

    # clamp, voltmeter, insulation_tester: standard deviation of the logarithm of
    # truth over reading [-]
    clamp: float
    voltmeter: float
    insulation_tester: float
    # clamp_resolution, voltmeter_resolution: standard uncertainty near zero [A], [V]
    clamp_resolution: float
    voltmeter_resolution: float
    eye: float  # standard deviation of the logarithm of light as seen [-]
    # misread, slip: chance that a lamp picture, or a number, says nothing [-]
    misread: float
    slip: float

    law: LampLaw  # how lamps burn and what an eye tells apart
    prior: Assumption  # resistance of a fault before anything was read [Ω]
    # direct voltage behind a fault that passes a direct component, over
    # the line voltage [-]
    source: Assumption
    # direct-current resistance of a lamp transformer's winding, if blank [Ω]
    winding: float
    # part of the returning current that a clamp round a feeder misses [-]
    feeder: float

    @classmethod
    def of(cls, assumptions: Assumptions) -> Self:
        """Return the instruments as a table of assumptions states them."""

        def spread(name: str) -> float:
            return float(np.log(assumptions[name].geometric_sd))

        return cls(
            clamp=spread("clamp_factor"),
            voltmeter=spread("voltmeter_factor"),
            insulation_tester=float(
                np.hypot(
                    spread("insulation_tester_factor"), spread("insulation_test_factor")
                )
            ),
            clamp_resolution=assumptions.value("clamp_resolution_ma") * MILLIAMPERE,
            voltmeter_resolution=assumptions.value("voltmeter_resolution_v"),
            eye=spread("lamp_eye_factor"),
            misread=assumptions.value("lamp_misread_chance"),
            slip=assumptions.value("reading_slip_chance"),
            law=LampLaw.of(assumptions),
            prior=assumptions["fault_ohm"],
            source=assumptions["direct_source_share"],
            winding=assumptions.value("lamp_winding_ohm"),
            feeder=assumptions.value("feeder_return_share"),
        )

    def clamp_width(self, amps: Array, within: Array) -> Array:
        """Return the standard uncertainty of a clamp, and of what it is held to [A]."""
        return np.sqrt((self.clamp * amps) ** 2 + self.clamp_resolution**2 + within)

    def meter_width(self, volts: Array, within: Array) -> Array:
        """Return the standard uncertainty of a voltmeter, likewise [V]."""
        return np.sqrt(
            (self.voltmeter * volts) ** 2 + self.voltmeter_resolution**2 + within
        )

    def interval_likelihood(
        self, read: float, low: Array, high: Array, width: Array
    ) -> Array:
        """Return the likelihood of a number where the truth lies in a range.

        Parameters
        ----------
        read : float
            What was read.
        low, high : ndarray
            Ends of the range, every value between them being as likely.
        width : ndarray
            Standard uncertainty of the instrument, in the same unit.

        Returns
        -------
        ndarray
            Mean over the range of what each value has, up to a factor. [-]
        """
        from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

        half = np.maximum(0.5 * (high - low), _THIN * width)
        away = 0.5 * (high + low) - read
        share = ndtr((away + half) / width) - ndtr((away - half) / width)
        scale = np.sqrt(np.pi / 2.0) * max(abs(read), float(width.min()))
        chance = (1.0 - self.slip) * scale * share / half + self.slip
        return np.asarray(chance)

    def lamp_likelihood(self, share: Array, blind: float) -> Array:
        """Return the chance of a picture that may have been written down at random."""
        return self.misread * blind + (1.0 - self.misread) * share

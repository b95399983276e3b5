"""How well each reading agrees with a fault of each resistance."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MILLIAMPERE, scaled_ohms
from corrosion.leakage.inference import forward_model
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.forward_model import (
    FaultHypothesis,
    fault_amps,
    picture_chance,
    read_volts,
)
from corrosion.leakage.inference.grid import GRID
from corrosion.records.ship import Picture

__all__ = ["Instruments", "ReadingLikelihood", "clear_caches", "reading_likelihoods"]

_KEPT = 16  # tolerances kept, about 1 MB each: all that a round asks for again
_THIN = 0.05  # range in standard deviations that counts as none
_HIDDEN = 1e-4  # least chance of a picture that no way of seeing gives


@dataclass(frozen=True, slots=True, kw_only=True)
class Instruments:
    """How far instruments and eyes are to be trusted; from the basis table.

    Attributes
    ----------
    clamp, voltmeter, insulation_tester : float
        Standard deviation of the logarithm of truth over reading. [-]
    clamp_resolution, voltmeter_resolution : float
        Standard uncertainty near zero. [A], [V]
    eye : float
        Standard deviation of the logarithm of light as seen. [-]
    misread, slip : float
        Chance that a lamp picture, or a number, says nothing. [-]
    """

    clamp: float
    voltmeter: float
    insulation_tester: float
    clamp_resolution: float
    voltmeter_resolution: float
    eye: float
    misread: float
    slip: float

    @classmethod
    def stated(cls) -> "Instruments":
        """Return the instruments as the basis table, or the user, states them."""
        return cls(
            clamp=_log_spread("clamp_factor"),
            voltmeter=_log_spread("voltmeter_factor"),
            insulation_tester=_log_spread("insulation_tester_factor"),
            clamp_resolution=assumptions.value("clamp_resolution_ma") * MILLIAMPERE,
            voltmeter_resolution=assumptions.value("voltmeter_resolution_v"),
            eye=_log_spread("lamp_eye_factor"),
            misread=assumptions.value("lamp_misread_chance"),
            slip=assumptions.value("reading_slip_chance"),
        )

    def clamp_width(self, amps: Array, within: Array) -> Array:
        """Return the standard uncertainty of a clamp, and of what it is held to [A]."""
        return np.sqrt((self.clamp * amps) ** 2 + self.clamp_resolution**2 + within)

    def measured(self, read: npt.ArrayLike, uniform: Array) -> Array:
        """Return what a current may have been that was read on a clamp.

        Parameters
        ----------
        read : array_like, shape (...)
            As read. [A]
        uniform : ndarray, shape (samples, ...)
            Numbers in (0, 1); the current grows with them. [-]

        Returns
        -------
        ndarray, shape (samples, ...)
            Within the clamp's tolerance and resolution, of the sign that was read, or
            nothing. [A]
        """
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        amps = np.asarray(read, dtype=np.float64)
        found = amps + self.clamp_width(amps, np.zeros(1)) * ndtri(uniform)
        return np.asarray(np.where(found * amps > 0.0, found, 0.0 * amps))

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


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLikelihood:
    """One reading against every resistance and node.

    Attributes
    ----------
    label : str
        The reading in words.
    distance : ndarray, shape (nodes or 1, grid)
        Squared distance in standard deviations. [-]
    chance : ndarray, shape (nodes or 1, grid)
        Likelihood, up to a factor. [-]
    """

    label: str
    distance: Array
    chance: Array


def reading_likelihoods(
    state: FaultHypothesis, evidence: Evidence, instruments: Instruments
) -> Iterator[ReadingLikelihood]:
    """Yield one term for each reading that is present.

    Parameters
    ----------
    state : FaultHypothesis
        System, nodes and conductor at fault.
    evidence : Evidence
        What was read.
    instruments : Instruments
        How far to trust it.

    Yields
    ------
    Term
        Clamp, volts to hull by conductor, insulation test and lamps.
    """
    for readings in evidence.readings:
        if readings.amps is not None:
            yield _clamp(state, readings.amps, instruments)
        for column, volts in enumerate(readings.hull_volts):
            if volts is not None:
                read = (column, abs(volts))
                yield _voltmeter(state, read, readings.meter, instruments)
        if readings.insulation is not None:
            yield _insulation(readings.insulation, instruments)
        if any(readings.picture):
            yield _lamps(state, readings.picture, instruments)


def _clamp(
    state: FaultHypothesis, read: float, tools: Instruments
) -> ReadingLikelihood:
    amps, width = _clamp_shows(state, tools)
    if state.system.current == "ac":
        read = abs(read)
    label = f"the clamp reading of {read:.4g} A"
    scale = max(abs(read), tools.clamp_resolution)
    return _gaussian(label, (read - amps) / width, scale / width, tools.slip)


@lru_cache(maxsize=_KEPT)
def _clamp_shows(state: FaultHypothesis, tools: Instruments) -> tuple[Array, Array]:
    """Return the current and its standard uncertainty, shape (nodes, grid)."""
    amps, within = fault_amps(state)
    return amps, tools.clamp_width(amps, within)


def _voltmeter(
    state: FaultHypothesis, read: tuple[int, float], meter: float, tools: Instruments
) -> ReadingLikelihood:
    column, size = read
    volts, width = (each[column] for each in _meter_shows(state, meter, tools))
    name = state.system.conductors[column]
    input_ohms, unit = scaled_ohms(meter)
    label = f"{size:.4g} V to hull on {name} ({input_ohms:.3g} {unit} meter)"
    scale = max(size, tools.voltmeter_resolution)
    return _gaussian(label, (size - volts) / width, scale / width, tools.slip)


@lru_cache(maxsize=_KEPT)
def _meter_shows(
    state: FaultHypothesis, meter: float, tools: Instruments
) -> tuple[Array, Array]:
    """Return the volts and their standard uncertainty, shape (c, nodes, grid)."""
    volts, within = read_volts(state, meter)
    return volts, tools.meter_width(volts, within)


def _insulation(read: float, tools: Instruments) -> ReadingLikelihood:
    width = tools.insulation_tester
    label = f"the insulation test of {read:.4g} Ω"
    away = np.log(read / GRID)[None, :] / width
    return _gaussian(label, away, np.full_like(away, 1.0 / width), tools.slip)


def _lamps(
    state: FaultHypothesis, seen: tuple[Picture | None, ...], tools: Instruments
) -> ReadingLikelihood:
    share, blind = picture_chance(state, seen, tools.eye)
    named = zip(state.system.conductors, seen, strict=True)
    words = ", ".join(f"{name} {word}" for name, word in named if word)
    return ReadingLikelihood(
        label=f"the lamps ({words})",
        distance=-2.0 * np.log(np.maximum(share, _HIDDEN)),
        chance=tools.lamp_likelihood(share, blind),
    )


def _gaussian(
    label: str, away: Array, sharpness: Array, slip: float
) -> ReadingLikelihood:
    """Weigh a reading that is so many deviations away, and as sharp as that."""
    distance = away * away
    chance = np.exp(-0.5 * distance)
    chance *= sharpness * (1.0 - slip)
    chance += slip
    return ReadingLikelihood(label=label, distance=distance, chance=chance)


def _log_spread(name: str) -> float:
    return float(np.log(assumptions.entry(name).geometric_sd))


def clear_caches() -> None:
    """Forget what was kept of predictions: nobody asks for the same nodes again."""
    forward_model.clear_caches()
    for kept in (_clamp_shows, _meter_shows):
        kept.cache_clear()

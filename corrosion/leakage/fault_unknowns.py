"""Everything about her faults that is not known for certain, drawn sample by sample."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from corrosion.foundation.parallel import Begun
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, MINUTE
from corrosion.leakage.conditions import evidence_for_system
from corrosion.leakage.dated_states import FoundIn
from corrosion.leakage.direct_sources import looked_at, unread_volts
from corrosion.leakage.doubts import date_doubts
from corrosion.leakage.duration_laws import sample_laws
from corrosion.leakage.earthed_stays import DrawnFaults, stood_earthed
from corrosion.leakage.fault_pool import FaultPool, most_amps
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.inverse_cdf import reuse
from corrosion.leakage.inference.likelihood import clear_caches
from corrosion.leakage.kept_inference import InferredSystem, inferred_system
from corrosion.leakage.learned_wander import learned_wander
from corrosion.leakage.logged_currents import LoggedHours
from corrosion.leakage.resistance_law import ResistanceLaw
from corrosion.leakage.sampled_system import Unexplained
from corrosion.leakage.standing_times import (
    FAULT_COLUMNS,
    FaultIntervals,
    Findings,
    fault_intervals,
)
from corrosion.leakage.visibility import (
    chance_hidden,
    dates_said,
    hidden_ohms,
    least_shown,
    opens_breaker,
)
from corrosion.leakage.wander import Knots, ResistancePath
from corrosion.records.ship import Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultUnknowns:
    """All that is not known for certain about the faults, a sample a row."""

    spans: FaultIntervals  # when each stood
    # resistance of each fault at any time; NaN where no network drives it
    path: ResistancePath
    # shape (samples, faults): direct voltage behind a fault of an alternating
    # system; 0: none [V]
    direct_volts: Array
    # shape (samples, faults): current of a source that is no ground fault, as measured,
    # true to the clamp's tolerance; direct current is positive into the
    # steel; else NaN [A]
    amps: Array
    # shape (samples, faults): position of the conductor that touches the hull
    pole: IntArray
    # shape (samples, faults): the most that a fault passes without
    # opening its branch [A]
    trip: Array
    # shape (samples, faults): uniform number that says where in the ship a fault is
    # that was not found [-]
    place: Array
    # capacitance, insulation, shape (samples,): each conductor of each system
    # to hull, healthy [F], [Ω]
    capacitance: Mapping[str, Array]
    insulation: Mapping[str, Array]
    # shape (samples,): direct-current resistance of a lamp transformer's
    # winding, if blank [Ω]
    winding: Array
    law: LampLaw  # how lamps draw current
    # by fault, the hours for which a log measured its current
    logged: Mapping[int, LoggedHours] = field(default_factory=dict)
    # by fault, clamp readings that no resistance explains
    unexplained: Mapping[int, tuple[Unexplained, ...]] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()  # what the dates of her faults leave open

    @property
    def resistance(self) -> Array:
        """Resistance of each fault when it was first read, (samples, faults) [Ω]."""
        return self.path.ohms


def sample_faults(
    ship: Ship,
    draws: Draws,
    *,
    as_of: float,
    logged: Mapping[str, LoggedHours] | None = None,
    meanwhile: Callable[[], object] | None = None,
) -> FaultUnknowns:
    """Return samples of everything unknown about the faults of a ship.

    Parameters
    ----------
    ship, draws : Ship, Draws
    as_of : float
        Date of the estimate. [s]
    logged : mapping of str to LoggedHours, optional
        By fault, from `with_logged_currents`.
    meanwhile : callable, optional
        Called when a child that infers has ended, so that a core is idle.

    Returns
    -------
    FaultUnknowns
        One sample a row, one fault a column, in file order.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    tools = Instruments.of(draws.assumptions)
    uniform = np.empty((draws.samples, len(ship.faults), len(FAULT_COLUMNS)))
    for k, fault in enumerate(ship.faults):
        uniform[:, k] = draws.block(f"fault {fault.fault}", len(FAULT_COLUMNS))
    column = {name: uniform[:, :, k] for k, name in enumerate(FAULT_COLUMNS)}
    resistance = np.full(uniform.shape[:2], np.nan)
    direct = np.zeros(uniform.shape[:2])
    pole = np.zeros(uniform.shape[:2], dtype=np.int64)
    least = np.zeros(len(ship.faults))
    capacitance, insulation = {}, {}
    first_read: dict[int, float | None] = {}
    later: dict[int, list[tuple[float, Array]]] = {}
    unexplained: dict[int, tuple[Unexplained, ...]] = {}
    found_in = FoundIn([[] for _ in ship.faults], np.zeros_like(pole))
    wander = learned_wander(ship, draws)
    looked: dict[int, bool | None] = {}
    read = [evidence_for_system(ship, system, wander) for system in ship.systems]

    def infer(k: int) -> InferredSystem:
        mine = read[k].places
        blocks = {name: column[name][:, mine] for name in ("ohms", "amps", "later")}
        return inferred_system(ship, ship.systems[k], read[k], draws, blocks)

    begun = [Begun(partial(infer, k)) for k in range(len(ship.systems))]
    for system, said, inferred in zip(ship.systems, read, begun, strict=True):
        mine, taught = said.places, inferred.result()
        if meanwhile is not None:
            meanwhile()
        capacitance[system.name] = taught.capacitance
        insulation[system.name] = taught.insulation
        resistance[:, mine], pole[:, mine] = taught.resistance, taught.pole
        direct[:, mine] = taught.direct_volts
        looked |= looked_at(system, said)
        least[mine] = least_shown(system, draws.assumptions)
        first_read |= dict(zip(mine, said.moment, strict=True))
        later |= {mine[k]: rest for k, rest in taught.later.items()}
        unexplained |= {mine[k]: odd for k, odd in taught.unexplained.items()}
        found_in.put(mine, said.parts, taught.part)
    clear_caches()
    trip = most_amps(ship, draws, column["trip"])
    waits = draws.assumptions.value("insulation_test_days") * DAY
    wide = wander.between(0.5 * waits)
    doubt = draws.assumptions.value("watch_doubt_chance")
    chance = chance_hidden(resistance, least, wide, doubt)
    score = np.asarray(ndtri(column["wander"]))
    drawn = DrawnFaults(resistance, pole, score, trip, direct)
    opened = opens_breaker(ship, found_in, drawn)
    laws = sample_laws(
        ship,
        draws,
        shown=1.0 - chance.mean(axis=0),
        opened=opened.mean(axis=0),
        as_of=as_of,
    )
    # What the dates and her other faults say of a fault's resistance, beside what was
    # read of it.
    said_by_dates = dates_said(ship, laws, chance)
    weight = said_by_dates.weight(chance, opened)
    hardly = draws.assumptions.value("sustained_otherwise_chance")
    possible, _ = stood_earthed(ship, wander, drawn, as_of)
    weight *= np.where(possible, 1.0, hardly)
    pool = FaultPool.of(
        ship,
        wander,
        drawn,
        (chance, found_in.part, weight),
        later,
        as_of,
    )
    pool.stand()
    ground = list(first_read)
    own = ResistanceLaw.of(
        draws.assumptions,
        resistance[:, ground],
        weight[:, ground],
        draws.block("fault resistances", 1)[:, 0],
    )
    for k in ground:
        pool.become(k, own.in_keeping(resistance[:, k], weight[:, k]))
    pool.stand()  # her own law has moved them
    for k, volts in unread_volts(ship, looked, draws):
        direct[:, k] = volts
    opened = opens_breaker(ship, found_in, drawn)
    hidden = reuse(column["last_good"]) < said_by_dates.chance(chance)
    hidden &= ~opened
    spans = fault_intervals(
        ship,
        uniform,
        laws=laws,
        findings=Findings(hidden, hidden & (resistance < least), opened, found_in),
        as_of=as_of,
    )
    opening_beside = np.maximum(pool.opened(), spans.found + MINUTE)
    _, opened_ashore = stood_earthed(ship, wander, drawn, as_of)
    ended = np.minimum(np.minimum(spans.ended, opened_ashore), opening_beside)
    spans = replace(spans, ended=ended)
    moment = spans.found.copy()
    for k, at in first_read.items():
        moment[:, k] = spans.found[:, k] if at is None else at
    waited, rest = spans.found - spans.began, reuse(column["wander"])
    path = ResistancePath(
        ohms=resistance,
        moment=moment,
        turned=np.where(hidden & (least > 0.0), spans.found, spans.began),
        ended=np.minimum(spans.ended, as_of),
        hidden=hidden_ohms(resistance, least, waited, wander, rest),
        wander=wander,
        score=score,
        knots=_knots(resistance, moment, later),
    )
    source = np.array([fault.source != "ground fault" for fault in ship.faults])
    clamp = np.array([f.readings.amps or np.nan for f in ship.faults], np.float64)
    factor = draws.lognormal("clamp_factor", column["amps"])
    places = {fault.fault: k for k, fault in enumerate(ship.faults)}
    return FaultUnknowns(
        spans=spans,
        path=path,
        direct_volts=direct,
        amps=np.where(source.astype(np.bool_), clamp * factor, np.nan),
        pole=pole,
        trip=trip,
        place=column["zone"].copy(),  # without all else that was drawn with it
        capacitance=capacitance,
        insulation=insulation,
        winding=draws.lognormal("lamp_winding_ohm", draws.block("windings", 1)[:, 0]),
        law=tools.law,
        logged={places[name]: hours for name, hours in (logged or {}).items()},
        unexplained=unexplained,
        doubts=tuple(date_doubts(ship, laws, as_of)),
    )


def _knots(
    resistance: Array, moment: Array, later: Mapping[int, list[tuple[float, Array]]]
) -> dict[int, Knots]:
    """Return all hours at which faults were read that were read more than once."""
    found = {}
    for k, rest in later.items():
        if rest:
            at = np.column_stack(
                [moment[:, k], *(np.full(len(moment), when) for when, _ in rest)]
            )
            ohms = np.column_stack([resistance[:, k], *(each for _, each in rest)])
            order = np.argsort(at, axis=1, kind="stable")
            found[k] = Knots(
                moment=np.take_along_axis(at, order, axis=1),
                log_ohms=np.log(np.take_along_axis(ohms, order, axis=1)),
            )
    return found

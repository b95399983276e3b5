"""What can hurt, in words: each stands beside the act that it speaks of.

Our own words (judgement, common practice). They defer to local codes, permits, the
yard's procedures and licensed practice, and none is complete.
"""

from typing import Final, Literal

Needs = Literal["anyone", "competent person", "licensed electrician", "diver", "class"]
"""Who it takes, at the least."""

NEEDS: Final[dict[str, Needs]] = {
    "look": "anyone",
    "clamp": "competent person",
    "open": "competent person",
    "test": "licensed electrician",
    "inside": "competent person",
    "dock": "competent person",
    "diver": "diver",
}
"""Who it takes to do each act of a hunt, and to gauge by each way in."""

DANGER: Final = (
    "Danger to life at this berth: the hull or the water beside it may be live. "
    "Keep people off rails, gangway and out of the water, and have the supply "
    "switched off ashore by those responsible, before anything else."
)
"""S4: a standing fault meets an earthed supply without a sure conductor."""

HOLED: Final = (
    "Danger of flooding: plug and pump ready, a second person beside it, nobody below "
    "without a way out; tell owner and class now. It is not to be gauged but closed."
)

NO_DANGER: Final = (
    "That no danger is named here is no statement of safety: it knows what is written."
)

LAMPS: Final = (
    "Even lamps prove nothing: equal faults on all conductors, a fault above the "
    "least visible one, a failed lamp or a disconnected set look the same. Try the "
    "lamps first."
)

FAILED_LAMP: Final = (
    "A lamp of the set has failed: the set says nothing of a fault until it is "
    "replaced and looked at again; what the other lamps showed is kept and not used."
)

PROVE: Final = (
    "An ungrounded system can kill, with a healthy picture too: treat every conductor "
    "as live, test dead, lock out and tag out, follow local codes and the yard, and "
    "leave live work to licensed electricians."
)

LOOK: Final = f"{LAMPS} An ungrounded system can kill while they burn evenly."

CLAMP: Final = (
    "Nothing is opened, but the board is live: insulated leads only, covers off by "
    "a competent person under the ship's permit, clamp all conductors of the feeder"
    " together. A low reading rules nothing out; a healthy long feeder reads too."
)

OPEN: Final = (
    "One person in charge. Ask whoever the row names, and say what else stops, "
    "before each one; open one, look, close it before the next. Lock out and tag "
    "out by the ship's procedure; local codes, the yard and a licensed electrician "
    "rule over this sheet."
)

TEST: Final = (
    "Only the circuit with which the indication went: isolate, lock, prove dead "
    "between all conductors and to hull, with an instrument proved before and "
    "after. Disconnect drives, rectifiers, electronics, surge arresters, monitors, "
    "lamps and capacitors, or do not test. Test volts as the row says. Earth the "
    "conductors afterwards for several times as long as they were charged: a long "
    "cable keeps a dangerous charge. A licensed electrician's work."
)

SURVEY: Final = (
    "Ask before a circuit is opened, and say what else stops. Isolate, lock, prove "
    "dead between all conductors and to hull, with an instrument proved before and "
    "after. Disconnect drives, rectifiers, electronics, surge arresters, monitors, "
    "lamps and capacitors, or do not test. Test volts as circuits.csv says. Earth the "
    "conductors afterwards for several times as long as they were charged: a long "
    "cable keeps a dangerous charge. A licensed electrician's work."
)

OPENED: Final = (
    "Isolated (open, locked, tagged, by whom) is not cleared (repaired, tested, "
    "energised again). Close what stands open, or tag it with a name, before "
    "anybody writes cleared."
)

VITAL: Final = (
    "Vital circuits (steering, fire and bilge pumps, navigation lights, alarms, "
    "ventilation of vehicle or cargo spaces, lifts, boats, ramps) are never opened "
    "in one step with others."
)

ZERO_VOLTS: Final = (
    "Zero volts from a conductor to hull means faulted or not energised, and is "
    "treated as live: on an ungrounded ship a solidly faulted live conductor reads "
    "0 V. Prove dead between all conductors and to hull, with an instrument proved "
    "before and after."
)

TOUCH: Final = (
    "Through a body (1\N{NO-BREAK SPACE}000 Ω) from one conductor to hull, the "
    "largest over conductors; above 30 mA it can kill. Never a sign of safety: "
    "ungrounded does not mean harmless."
)

SHORE: Final = (
    "An earth conductor is never lifted, opened or bypassed while any other "
    "conductor of the supply is connected. Disconnected means the whole shore "
    "cable: switched off ashore, locked, withdrawn; nobody in the water, bilge "
    "alarms and pumps on the ship's own supply. Work for licensed electricians, "
    "local codes and the yard."
)

THIN: Final = (
    "Thin plate: afloat no scaling hammer, needle gun, grinder, blasting or weld; "
    "ultrasound as found; plug, pump and a second person ready; tell owner and "
    "class."
)

DIVER: Final = (
    "Diver: impressed current off and locked; shafts, rudders, thrusters and "
    "suctions locked; shore supply isolated or its earth proved; faults on shore-"
    "fed systems cleared; the diving supervisor's permit."
)

ENCLOSED: Final = (
    "Inside of tanks, bilges and voids is enclosed space: ventilate, test the air, "
    "permit, attendant outside."
)

WELDING: Final = (
    "Welding: return clamp beside the work on the same part, never across a joint "
    "or a bearing or to the quay; hot-work permit; fire watch on the far side."
)

ESTIMATE: Final = (
    "An estimate replaces neither a gauging nor the class surveyor: gauge before "
    "you decide, and decide with the yard and the surveyor."
)

"""What keeps an engine from firing beside its wiring: compression, fuel, air, plugs, timing.

Two readable tables. `OBSERVATIONS` is what can be looked at, with the answers and how likely each is on an
engine that is sound in that respect. `CAUSES` is what can be wrong, how likely it is against the others, and
how it changes those answers.

The likelihoods are our own workshop judgement, written down so that they can be argued with: there is no
published table of them. Each has its reason beside it. They are rough on purpose (0.9, not 0.93): the search
only needs to know which answer speaks for which cause, and about how loudly.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from tickover.chapters.cautions import CRANKING, PETROL_VAPOUR

SPARKS_NEAR_FUEL = (
    "Petrol vapour can catch fire or explode. Work outdoors or with the doors open, engine cold, "
    "no flame and "
    "no sparks near, a dry-powder extinguisher in reach, and catch the fuel in a closed can."
)
TURNING = "The engine turns or may start: neutral, bike on its stand, hands clear of chain and sprockets, doors open."
CLEANER = "Carburettor cleaner harms skin, eyes and lungs: gloves, goggles and moving air."


@dataclass(frozen=True)
class Observation:
    """One thing to look at that needs no loom: the question, its answers and what a sound engine shows."""

    id: str
    asks: str
    how: str
    sound: Mapping[str, float]  # answer -> likelihood with nothing wrong in this respect
    why: str
    minutes: float
    needs: str = ""  # "cranks" or "spark": what the loom must give first, else `without` holds
    without: Mapping[str, float] | None = None
    caution: str | None = None

    @property
    def answers(self) -> tuple[str, ...]:
        return tuple(self.sound)


@dataclass(frozen=True)
class Cause:
    """One thing wrong outside the wiring.

    `prior` is a weight against the other causes of this table. `outcomes` maps an observation to the
    likelihood of each answer and the reason; an observation it does not name shows what a sound engine shows.
    """

    id: str
    chapter: str
    name: str
    prior: float
    repair: str
    why: str
    outcomes: Mapping[str, tuple[Mapping[str, float], str]]


def _says(first: str, likelihood: float, *others: str) -> dict[str, float]:
    """`first` with this likelihood, the others share the rest."""
    return {first: likelihood} | {other: (1.0 - likelihood) / len(others) for other in others}


OBSERVATIONS: dict[str, Observation] = {
    o.id: o
    for o in (
        Observation(
            "fuel_smell",
            "After cranking: does it smell of petrol at the exhaust or the intake?",
            "Crank for five seconds with the choke on, then smell at the end of the silencer and at the intake.",
            _says("yes", 0.7, "no"),
            "A healthy engine that did not fire smells of fuel, but noses differ.",
            0.5,
            needs="cranks",
            without=_says("no", 0.9, "yes"),
            caution=SPARKS_NEAR_FUEL,
        ),
        Observation(
            "plugs",
            "Are the plugs wet or dry after cranking?",
            "Crank for five seconds with the choke on, take a plug out and look at its nose at once.",
            _says("wet", 0.8, "dry"),
            "With choke and fuel, plugs that did not light are damp.",
            4.0,
            needs="cranks",
            without=_says("dry", 0.9, "wet"),
            caution=SPARKS_NEAR_FUEL,
        ),
        Observation(
            "trickle_fires",
            "Does it fire for a moment on a trickle of fuel in the intake?",
            "Put half a teaspoon of fresh petrol into the intake with a pipette, close the "
            "bottle and carry it away, "
            "put the air filter back on, then crank.",
            _says("yes", 0.85, "no"),
            "With spark, compression and timing, fuel given by hand fires.",
            4.0,
            needs="spark",
            without=_says("no", 0.99, "yes"),
            caution=SPARKS_NEAR_FUEL + " It can spit back: filter on, face away. " + TURNING,
        ),
        Observation(
            "fuel_level",
            "How does the fuel stand in a clear tube at the bowl: low, right or high?",
            "Put a clear tube on the bowl's drain, hold it up beside the bowl, open the drain, "
            "wait a minute and read "
            "the level against its mark.",
            {"low": 0.02, "right": 0.96, "high": 0.02},
            "A set float keeps the level.",
            5.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "fuel_flow",
            "How much runs from the hose into a bottle in one minute: enough or too little?",
            "Pull the hose off at the carburettor, hold it at that height into a measuring "
            "bottle, tap on for one "
            "minute. Enough is what the engine burns at full power, and a third more.",
            _says("enough", 0.985, "too little"),
            "A clear tap, hose and filter pass several times what the engine burns (chapters/fuel/gravity.py).",
            5.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "flow_without_filter",
            "And with the filter left out of the hose: enough or too little?",
            "Join the hose without the filter and measure one minute into the bottle again.",
            _says("enough", 0.985, "too little"),
            "Tap and hose alone pass more still.",
            5.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "flow_cap_open",
            "And with the filler cap open: enough or too little?",
            "Open the filler cap and measure one minute into the bottle again.",
            _says("enough", 0.985, "too little"),
            "A vented tank runs the same with its cap open.",
            5.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "flow_at_tap",
            "And straight from the tap, hose off: enough or too little?",
            "Take the hose off the tap, hold the bottle under it, one minute.",
            _says("enough", 0.985, "too little"),
            "The tap alone passes more still.",
            5.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "fuel_fresh",
            "Is the fuel fresh: clear, and with the sharp smell of petrol?",
            "Let a little into a clean glass jar. Stale fuel is dark and smells of varnish; water lies at the bottom.",
            _says("yes", 0.97, "no"),
            "Fuel bought this month looks and smells right.",
            1.5,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "pilot_clear",
            "Is the pilot jet clear: can you see light through it?",
            "Take the bowl off, unscrew the pilot jet and hold it up to a lamp.",
            _says("yes", 0.98, "no"),
            "Only a jet that passes light passes fuel.",
            15.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "float_needle",
            "Bowl off: does the needle drop free of its seat and the float stand at its height?",
            "Take the bowl off, hold the carburettor so that the float closes the needle, "
            "measure the float height, then "
            "let the float hang and see whether the needle drops.",
            {"right": 0.97, "height wrong": 0.015, "sticks": 0.015},
            "A clean needle moves by its own weight.",
            15.0,
            caution=PETROL_VAPOUR,
        ),
        Observation(
            "compression",
            "What does the compression gauge show against the limit: low or right?",
            "Plugs out, throttle wide open, warm if it can be, crank until the needle stops rising.",
            _says("right", 0.97, "low"),
            "A sound engine reads above its limit; a dry bore reads a little less.",
            7.0,
            needs="cranks",
            without=_says("low", 0.9, "right"),
            caution=CRANKING,
        ),
        Observation(
            "valve_clearance",
            "Are the valve clearances right, tight or wide?",
            "Engine cold, piston at the top of its compression stroke, feeler gauge.",
            {"right": 0.97, "tight": 0.01, "wide": 0.02},
            "Set clearances hold.",
            12.0,
        ),
        Observation(
            "cam_marks",
            "Do the cam timing marks line up: right or off?",
            "Plugs out, turn the engine by hand to its mark, rocker cover off, and look at the "
            "marks of the cam sprocket.",
            _says("right", 0.98, "off"),
            "A chain does not jump by itself.",
            20.0,
        ),
        Observation(
            "timing",
            "Does the spark come at its mark: right or off?",
            "Strobe lamp on a plug lead, crank, and watch the mark. With no strobe: static, with a lamp on the coil.",
            _says("right", 0.98, "off"),
            "Marks that were set once stay.",
            6.0,
            needs="spark",
            without=_says("off", 0.5, "right"),
            caution=TURNING,
        ),
        Observation(
            "intake_tight",
            "Are the intake rubbers whole and their clamps tight?",
            "Flex each rubber by hand under a lamp, look for cracks, and try each clamp.",
            _says("yes", 0.97, "no"),
            "Good rubber shows no light.",
            2.0,
        ),
        Observation(
            "air_filter_clear",
            "Does the air filter let light through?",
            "Take the element out and hold it before a lamp.",
            _says("yes", 0.98, "no"),
            "A clean element lets light through all round.",
            3.0,
        ),
        Observation(
            "choke_works",
            "Does the choke close and open fully?",
            "Work the lever and watch the plate or the plunger in the intake.",
            _says("yes", 0.98, "no"),
            "A free choke moves from stop to stop.",
            2.0,
        ),
        Observation(
            "plug_noses",
            "Are the plug noses clean, with the gap right?",
            "Take the plugs out: look for soot, oil, a bridge across the gap or a cracked nose.",
            _says("yes", 0.96, "no"),
            "A serviceable plug is dry, pale and gapped.",
            3.0,
        ),
        Observation(
            "caps_sound",
            "Do the plug caps read about their stamped ohms and sit tight on whole leads?",
            "Ohmmeter from the cap's plug end to the lead's coil end, and look for cracks and green copper.",
            _says("yes", 0.98, "no"),
            "Stamped caps keep their value when dry.",
            4.0,
            caution="The coils give tens of thousands of volts. Key off before you touch a lead.",
        ),
    )
}

CHAPTERS = ("fuel", "engine", "air", "ignition")

_LITTLE = _says("too little", 0.98, "enough")
_STARVED = {
    "plugs": (_says("dry", 0.85, "wet"), "no fuel reaches the cylinders"),
    "fuel_smell": (_says("no", 0.75, "yes"), "little fuel, little smell"),
    "trickle_fires": (_says("yes", 0.9, "no"), "all it lacks is fuel"),
    "fuel_level": ({"low": 0.75, "right": 0.24, "high": 0.01}, "the bowl fills slowly or not at all"),
}
_FLOODED = {
    "plugs": (_says("wet", 0.97, "dry"), "too much fuel"),
    "fuel_smell": (_says("yes", 0.95, "no"), "raw fuel runs through"),
    "trickle_fires": (_says("no", 0.9, "yes"), "more fuel does not help a flooded engine"),
}
_NO_SQUEEZE = {
    "compression": (_says("low", 0.92, "right"), "the gauge reads what is left"),
    "trickle_fires": (_says("no", 0.75, "yes"), "fuel without pressure hardly lights"),
}


def _cause(
    cause: str,
    prior: float,
    name: str,
    repair: str,
    why: str,
    *outcomes: Mapping[str, tuple[Mapping[str, float], str]],
) -> Cause:
    merged: dict[str, tuple[Mapping[str, float], str]] = {}
    for more in outcomes:
        merged |= more
    return Cause(cause, cause.split(":")[0], name, prior, repair, why, merged)


CAUSES: dict[str, Cause] = {
    c.id: c
    for c in (
        _cause(
            "fuel:tap_shut_or_blocked",
            0.10,
            "fuel tap shut or blocked",
            "Open the tap; if it passes little, take it apart and clean its strainer",
            "Years of rust and varnish collect at the lowest point of the tank.",
            _STARVED,
            {
                "fuel_flow": (_LITTLE, "the tap is in the way"),
                "flow_at_tap": (_LITTLE, "the tap itself is in the way"),
                "flow_without_filter": (_LITTLE, "the filter is not the cause"),
                "flow_cap_open": (_LITTLE, "the vent is not the cause"),
            },
        ),
        _cause(
            "fuel:filter_too_fine",
            0.09,
            "fuel filter too fine for a gravity supply",
            "Fit a coarse filter made for a gravity supply, or refit the tap's own strainer alone",
            "A filter meant for a pump loses more pressure than a quarter of a metre of fuel can give.",
            _STARVED,
            {
                "fuel_flow": (_LITTLE, "the head is spent in the filter"),
                "flow_cap_open": (_LITTLE, "the vent is not the cause"),
            },
        ),
        _cause(
            "fuel:hose_kinked",
            0.04,
            "fuel hose kinked, swollen or blocked",
            "Renew the fuel hose and route it without a kink",
            "Old hose swells inside, and a new one kinks where it turns under the tank.",
            _STARVED,
            {
                "fuel_flow": (_LITTLE, "the hose is in the way"),
                "flow_without_filter": (_LITTLE, "the filter is not the cause"),
                "flow_cap_open": (_LITTLE, "the vent is not the cause"),
            },
        ),
        _cause(
            "fuel:tank_not_vented",
            0.03,
            "tank not vented",
            "Clear the vent of the filler cap",
            "Paint or dirt closes the small hole; the fuel then holds itself up.",
            _STARVED,
            {
                "fuel_flow": (_LITTLE, "a vacuum forms above the fuel"),
                "flow_without_filter": (_says("too little", 0.9, "enough"), "the vacuum forms again"),
                "flow_at_tap": (_says("too little", 0.9, "enough"), "the vacuum forms again"),
            },
        ),
        _cause(
            "fuel:level_low",
            0.05,
            "fuel level in the bowl too low",
            "Set the float height",
            "A float bent at strip-down shuts the needle early.",
            {
                "fuel_level": (_says("low", 0.95, "right", "high"), "it is what is wrong"),
                "float_needle": ({"right": 0.05, "height wrong": 0.92, "sticks": 0.03}, "the float is bent"),
                "plugs": (_says("dry", 0.7, "wet"), "lean"),
                "fuel_smell": (_says("no", 0.6, "yes"), "lean"),
                "trickle_fires": (_says("yes", 0.9, "no"), "all it lacks is fuel"),
            },
        ),
        _cause(
            "fuel:needle_stuck",
            0.05,
            "float needle stuck open, flooded",
            "Clean or renew the float needle and its seat, then dry the plugs",
            "A needle that has stood dry for years does not seal.",
            _FLOODED,
            {
                "fuel_level": (_says("high", 0.95, "right", "low"), "the needle does not shut"),
                "float_needle": (
                    {"right": 0.25, "height wrong": 0.05, "sticks": 0.7},
                    "worn seats look sound",
                ),
            },
        ),
        _cause(
            "fuel:needle_stuck_shut",
            0.03,
            "float needle stuck shut",
            "Free the float needle and clean its seat",
            "Varnish glues the needle into its seat.",
            _STARVED,
            {
                "fuel_level": (_says("low", 0.97, "right", "high"), "nothing passes the needle"),
                "float_needle": (
                    {"right": 0.04, "height wrong": 0.01, "sticks": 0.95},
                    "it is what is wrong",
                ),
            },
        ),
        _cause(
            "fuel:stale",
            0.06,
            "fuel stale or watered",
            "Drain tank and bowls, fill with fresh fuel",
            "The light ends that start a cold engine are gone after a year.",
            {
                "fuel_fresh": (_says("no", 0.95, "yes"), "it is what is wrong"),
                "plugs": (_says("wet", 0.85, "dry"), "fuel arrives but does not light"),
                "trickle_fires": (_says("yes", 0.8, "no"), "the trickle is fresh fuel"),
            },
        ),
        _cause(
            "fuel:pilot_blocked",
            0.09,
            "pilot jet or its passage blocked",
            "Clean the pilot jet and its passages. " + CLEANER,
            "The smallest hole in the carburettor closes first.",
            {
                "pilot_clear": (_says("no", 0.95, "yes"), "it is what is wrong"),
                "plugs": (_says("dry", 0.8, "wet"), "no fuel at starting throttle"),
                "fuel_smell": (_says("no", 0.7, "yes"), "no fuel at starting throttle"),
                "trickle_fires": (_says("yes", 0.9, "no"), "all it lacks is fuel"),
            },
        ),
        _cause(
            "engine:compression_low",
            0.05,
            "compression low: rings, valves or head gasket",
            "Find where it leaks: a little oil in the cylinder first, then the valves, then the rings",
            "Rust on seats and stuck rings after years of standing.",
            _NO_SQUEEZE,
        ),
        _cause(
            "engine:valve_clearance",
            0.03,
            "valve clearance too tight or too wide",
            "Set the valve clearances, engine cold",
            "A head that was off and not set again.",
            _NO_SQUEEZE,
            {
                "compression": (_says("low", 0.6, "right"), "a valve that does not shut leaks"),
                "valve_clearance": ({"right": 0.03, "tight": 0.71, "wide": 0.26}, "it is what is wrong"),
            },
        ),
        _cause(
            "engine:valve_timing",
            0.02,
            "valve timing out: cam chain or sprocket a tooth off",
            "Set the cam timing at its marks; turn by hand first, valves can touch the pistons",
            "An engine that was apart.",
            _NO_SQUEEZE,
            {
                "compression": (_says("low", 0.8, "right"), "the valves shut at the wrong time"),
                "cam_marks": (_says("off", 0.96, "right"), "it is what is wrong"),
            },
        ),
        _cause(
            "air:intake_leak",
            0.05,
            "air leak at the intake",
            "Renew the intake rubbers and tighten the clamps",
            "Rubber of that age cracks where the clamp sits.",
            {
                "intake_tight": (_says("no", 0.93, "yes"), "it is what is wrong"),
                "plugs": (_says("dry", 0.7, "wet"), "lean"),
                "trickle_fires": (_says("yes", 0.75, "no"), "the trickle makes up for the air"),
            },
        ),
        _cause(
            "air:filter_blocked",
            0.02,
            "air filter blocked",
            "Clean or renew the air filter element",
            "Mouse nests and crumbled foam.",
            {
                "air_filter_clear": (_says("no", 0.95, "yes"), "it is what is wrong"),
                "plugs": (_says("wet", 0.9, "dry"), "fuel without air"),
                "trickle_fires": (_says("no", 0.7, "yes"), "still no air"),
            },
        ),
        _cause(
            "air:choke_wrong",
            0.03,
            "choke stuck open or shut",
            "Free the choke and set its cable",
            "A dry cable or a plate fitted the wrong way round.",
            {
                "choke_works": (_says("no", 0.95, "yes"), "it is what is wrong"),
                "plugs": (_says("wet", 0.5, "dry"), "stuck shut floods, stuck open starves"),
                "trickle_fires": (_says("yes", 0.5, "no"), "stuck open gains, stuck shut does not"),
            },
        ),
        _cause(
            "ignition:plugs_fouled",
            0.10,
            "plugs fouled or worn out",
            "Renew the plugs, gap set",
            "Plugs drowned in earlier tries fire outside and not under pressure.",
            {
                "plug_noses": (_says("no", 0.93, "yes"), "it is what is wrong"),
                "plugs": (_says("wet", 0.9, "dry"), "fuel arrives, the spark does not light it"),
                "trickle_fires": (_says("no", 0.8, "yes"), "no spark under pressure"),
            },
        ),
        _cause(
            "ignition:caps_or_leads",
            0.05,
            "plug caps or leads broken down or on the wrong cylinder",
            "Renew the caps and leads, each to its own cylinder",
            "Carbon-cored leads break inside; two leads look alike.",
            {
                "caps_sound": (_says("no", 0.93, "yes"), "it is what is wrong"),
                "plugs": (_says("wet", 0.9, "dry"), "fuel arrives, the spark does not"),
                "trickle_fires": (_says("no", 0.85, "yes"), "no spark where it is wanted"),
            },
        ),
        _cause(
            "ignition:timing_off",
            0.04,
            "ignition timing off",
            "Set the ignition timing at its mark",
            "A pick-up plate that was off and put back by eye.",
            {
                "timing": (_says("off", 0.95, "right"), "it is what is wrong"),
                "plugs": (_says("wet", 0.85, "dry"), "fuel arrives, the spark comes at the wrong time"),
                "trickle_fires": (_says("no", 0.7, "yes"), "it spits or kicks back instead"),
            },
        ),
    )
}


def likelihood(observation: str, answer: str, cause: str | None, *, cranks: bool, spark: bool) -> float:
    """How likely this answer is with this cause (None: nothing wrong outside the wiring).

    What the observation needs from the wiring comes first: a trickle of fuel fires nothing without a spark.

    >>> likelihood("fuel_flow", "too little", "fuel:filter_too_fine", cranks=True, spark=True)
    0.98
    >>> likelihood("trickle_fires", "yes", "fuel:filter_too_fine", cranks=True, spark=False) < 0.02
    True
    """
    looked_at = OBSERVATIONS[observation]
    if looked_at.without is not None and not (cranks if looked_at.needs == "cranks" else spark):
        return looked_at.without[answer]
    if cause is not None and observation in CAUSES[cause].outcomes:
        return CAUSES[cause].outcomes[observation][0][answer]
    return looked_at.sound[answer]

"""What goes with every answer, and with each step that is recommended."""

LIMITS = 'This output does not certify a machine as safe; a verdict reads "no further air found at this resolution".'

LOCAL = "Local codes, the instructions of the machine's maker and licensed practice come before anything written here."
JET = "A fine jet of oil goes through skin: no hand near a leak or a joint under pressure; if hit, see a doctor at once."
STORED = "Pressure stays stored after the pump stops, most of all with air in the circuit: release it before opening."
PROP = "Prop or hold what the rods carry before anybody reaches under it; oil does not hold a load once a joint is open."
HANDS = "Keep hands out of the way of rods and panel: a rod that lags starts with a jump."
HOT = "Air that is compressed fast becomes hot: raise the pressure of an air-filled part slowly."
MOTOR = "A stalled motor draws far more than its rated current: short bursts, and let it cool."
PARTING = (
    "Before a joint is parted: motor off, what the rods carry propped, pressure let out on both sides; a line behind a "
    "shut valve keeps its pressure for hours."
)
OPEN = (
    "An open port or line end throws a jet of oil when a rod moves or pressure is left: tie it down, point it into a "
    "container, and no face near it."
)
UNDER_OIL = (
    "A line end or hose held into a container stays under the oil's surface and is held by a clamp, not by a hand; out of "
    "the oil it draws air."
)
BY_HAND = (
    "A rod moved by hand goes slowly: a chamber below atmospheric pressure draws air past its seals, and pulls the rod "
    "back."
)
TURNING = (
    "A cylinder off its mounts is heavy, and its rod slides out by itself: lift it with two, and hold the rod before it is "
    "turned."
)
STALL = (
    "A motor that presses against the stops draws far more than running free, and only the relief valve limits its pump: seconds, "
    "nobody beside the hoses, and no part that this pressure is too much for."
)
HOLDING = "Rods held together by hands or a strap part with a jerk when they give way: no finger between them."
WARM = (
    "Oil that warms where it is shut in raises its pressure by some bar for each degree: leave it a way to the reservoir. Warm "
    "it without a flame, evenly, and not above what the machine's maker allows; hot oil burns."
)
BLEEDING = (
    "A bleed screw is cracked by a fraction of a turn, a clear hose from it into a container, and shut before the pressure goes: "
    "turned out it throws a jet. What stands on that side sinks while it is open."
)
CRACKED = "A bypass valve that is cracked lets the rods part slowly under a load: off the panel, and note how far it was turned."
BLOCKED = (
    "Behind a rotary divider or a shut way the pressure can rise to a multiple of the relief valve's: no gauge, hose or part there "
    "that is made for less."
)
WIPE = "Oil on skin and floor: gloves, goggles, and wipe it up."
FIRST = "The first strokes of a dry side are off by centimetres: rods free, off the panel."
BYPASS = "With the bypass open the rods do not keep step in any stroke, bled or not: off the panel, and room for each to run alone."

CAUTIONS = (LOCAL, JET, STORED, PROP, HANDS, HOT, MOTOR, PARTING, OPEN, UNDER_OIL, BY_HAND, TURNING, STALL, HOLDING, WARM, BLEEDING, CRACKED, BLOCKED, WIPE, BYPASS, FIRST)
USUAL = (LOCAL, JET, STORED, PROP, HANDS, HOT, MOTOR, WIPE)
OF_KIND = {
    "cycle": (HANDS, PROP, FIRST),
    "hand": (BY_HAND,),
    "stand": (STORED,),
    "flush": (JET, MOTOR, HOT),
    "refill": (WIPE,),
    "compare": (HANDS, PROP, FIRST, STALL),
}


OF_REASON = {   # what takes it away
    "air above a port": (PROP, TURNING),
    "bypass shut": (BYPASS,),
    "reservoir too low": (WIPE,),
    "panel outruns the pump": (HANDS, PROP),
}


def of_steps(steps):
    """Cautions of these steps, each once, in the order of `CAUTIONS`."""
    asked = set()
    for step in steps:
        asked.update(OF_KIND[step.kind])
        if step.parted:
            asked.update((PARTING, PROP, WIPE))
            asked.update((OPEN,) if {"air", "container"} & {step.line_end, step.port} else ())
            asked.update((UNDER_OIL,) if "container" in (step.line_end, step.port) else ())
        asked.update((TURNING,) if step.attitude else ())
        asked.update((STALL,) if step.press_s > 0 else ())
        asked.update((BYPASS,) if step.kind in ("cycle", "compare") and step.bypass == "open" else ())
        asked.update((WARM,) if step.temperature_deg_c is not None else ())
        asked.update((HOLDING,) if step.rods == "held" else ())
        asked.update((BLEEDING, PROP, WIPE) if step.bleed else ())
        asked.update((CRACKED,) if step.cracked_deg is not None else ())
    return tuple(c for c in CAUTIONS if c in asked)


def text(steps, rig=None):
    """The usual ones, those of these steps and of the rig's own parts, one sentence a line."""
    asked = {*USUAL, *of_steps(steps)}
    if rig is not None and rig.synchroniser in ("rotary_divider", "series_pair"):
        asked.add(BLOCKED)
    return "\n".join(["Cautions:", *(f"- {c}" for c in CAUTIONS if c in asked), LIMITS])

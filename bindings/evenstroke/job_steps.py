"""The steps of a procedure in plain words: what to do, what is seen, what to read."""

from typing import NamedTuple

from . import cautions
from .stories import place_text

TITLES = {
    "flush": "Flush with the pump",
    "hand": "Stroke by hand",
    "stand": "Let it stand",
    "refill": "Fill up",
    "compare": "Compare the rods",
    "cycle": "Bleed strokes",
}
LINE_ENDS = {
    "capped": "Cap the {lines}.",
    "air": "The {lines} stay open to the air: tied down, over a vessel.",
    "container": "Hold the {lines} under the oil in the container, by a clamp.",
    "joined": "Join the two line ends of each of these branches with a joining piece.",
}
PORTS = {
    "capped": "Plug the {ports}.",
    "air": "The {ports} stay open to the air: a vessel below.",
    "container": "The {ports}: under oil, in the container or by a hose into it, clamped.",
}
ATTITUDES = {"rod_up": "the rod points up", "rod_down": "the rod points down", "level": "the cylinder lies level"}
RODS = {
    "free": "Rods off the panel.",
    "panel": "Under the panel.",
    "held": "Rods off the panel and held together, by hand or strap, with up to {:g} N.",
}
SEEN = {
    "flush": "Bubbles in the stream, fewer from burst to burst, in the end none. The level falls by what replaces air.",
    "hand": "Bubbles leave the open port, fewer with each stroke. A rod that springs back has air behind it.",
    "stand": "Drops at open ends, bubbles that rise in the reservoir, a level that falls.",
    "refill": "How much goes in: that much air was replaced, or oil spilled.",
    "compare": (
        "The rods stand apart at 25, 50 and 75 % of the travel; at the stops nothing can be seen. Signs of air: the last rod "
        "begins to move later than the first, one springs back when the motor stops half way, the pressure at the stops does not "
        "stand at once, the level rises when it is let go."
    ),
    "cycle": (
        "Bubbles and foam where the oil comes back to the reservoir. The level falls while the rods go out and comes back with "
        "them."
    ),
}


class Told(NamedTuple):
    """A step as a sheet prints it."""

    title: str
    do: list        # a sentence each
    seen: str
    fields: list    # label and unit of what is read
    counted: str    # what is ticked one by one, and how many
    many: int
    cautions: tuple


def joint_text(name):
    """ "left.cap_port" as "cap port of the left cylinder". """
    owner, port = name.split(".")
    if owner == "valve_block":
        return f"port {port.upper()} of the valve block"
    return f"{port.replace('_', ' ')} of the {owner} cylinder"


def _listed(words):
    words = list(words)
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def _seconds(s):
    return f"{s:g} s" if s < 120 else f"{s / 60:g} min"


def _named(names, tags):
    return _listed(f"{tags[n]} ({joint_text(n)})" for n in names)


def _before(step, apart, rig, tags):
    """What has to be parted, made, turned and opened first."""
    made = [name for name in apart if name not in step.parted]
    if made:
        yield f"Make {_named(made, tags)}: clean, tightened as the machine's maker states. Look for leaks, no hand near."
    new = [name for name in step.parted if name not in apart]
    if new:
        yield f"Motor off, what the rods carry propped, pressure let out. Then part {_named(new, tags)}."
    still = [name for name in step.parted if name in apart]
    if still:
        yield f"{_named(still, tags)} stay apart."
    if step.parted:
        cylinders = [name for name in step.parted if not name.startswith("valve_block")]
        ports = "port" if len(step.parted) == 1 else "ports"
        if cylinders:
            yield LINE_ENDS[step.line_end].format(lines="line's end" if len(cylinders) == 1 else "lines' ends")
        if len(cylinders) < len(step.parted):
            yield "Cap what leads on from the valve block."
        yield PORTS[step.port].format(ports=ports)
    if step.attitude:
        yield f"All cylinders turned so that {ATTITUDES[step.attitude]}."
    if step.bleed:
        where = _listed(map(place_text, step.bleed))
        yield f"Bleed screws cracked by a fraction of a turn, a clear hose from each into the container: {where}."
    if rig.has_bypass and step.cracked_deg:
        yield f"Bypass valves cracked by {step.cracked_deg:g}° from shut."
    elif rig.has_bypass:
        yield f"Bypass valves {'open' if step.bypass == 'open' else 'shut'}."


def _flush(step, rig):
    set_to = "Directional valve" if rig.circuit == "open" else "Pump turning"
    way = "for rods out" if step.valve == "extend" else "for rods in"
    times = f", at most {step.bursts} bursts" if step.bursts > 1 else ""
    yield f"{set_to} {way}. Motor on for {_seconds(step.motor_s)}, off for {_seconds(step.dwell_s)}{times}."
    if step.refill:
        yield "Fill up to the level mark before each burst."
    if step.clear_m3 > 0:
        yield f"Done once {step.clear_m3 * 1e6:g} mL have come without a bubble that can be seen."


def _hand(step, rig):
    yield "Pump off."
    times = "once" if step.strokes == 1 else f"{step.strokes} times"
    yield (
        f"Draw the {_listed(step.by_hand)} rod out by hand and push it in, stop to stop, {times}: slower than "
        f"{1e3 * step.hand_speed_m_per_s:g} mm/s, with up to {step.hand_n:g} N; {_seconds(step.dwell_s)} of rest at each stop. "
        "End with the rod in."
    )


def _stand(step, rig):
    yield f"Nothing is moved for {_seconds(step.stand_s)}."
    if step.temperature_deg_c is not None:
        yield f"Meanwhile oil and parts come evenly to {step.temperature_deg_c:g} °C."
    if step.let_go:
        each = ", and with each degree on the way," if step.temperature_deg_c is not None else ""
        how = "the directional valve is put both ways" if rig.circuit == "open" else "both sides are let go to the reservoir"
        yield f"At the end{each} {how} for two seconds each, motor off."


def _refill(step, rig):
    yield "Fill reservoir and container up to where they stood at the start. Joints stay as they are."


def _compare(step, rig):
    yield RODS[step.rods].format(step.held_n)
    halt = f"a halt of {_seconds(step.halt_s)} with the motor off" if step.halt_s > 0 else "a reading without a halt"
    yield (
        f"Rods in, to the stops. One stroke: out, with {halt} half way; on to the stops and pressed for a moment; let go; in "
        "again."
    )
    yield "Read on the way out as the rods' mean passes 25, 50 and 75 % of the travel. This stroke is not counted."


def _cycle(step, rig):
    yield RODS[step.rods].format(step.held_n)
    many = "1 stroke" if step.strokes == 1 else f"{step.strokes} strokes"
    way = "to the stops" if step.travel >= 1 else f"to {100 * step.travel:g} % of the travel"
    press = f"motor kept on for {_seconds(step.press_s)} at the stop, then " if step.press_s > 0 else ""
    rest = f"motor off for {_seconds(step.dwell_s)}{', the directional valve left where it is' if rig.circuit == 'open' else ''}"
    yield f"{many}: rods out {way}, {press}{rest}; rods in to the stops, then the same."
    for volts, going in ((step.extend_v, "out"), (step.retract_v, "in")):
        if volts is not None:
            yield f"Motor at {volts:g} V while the rods go {going}."


DO = {"flush": _flush, "hand": _hand, "stand": _stand, "refill": _refill, "compare": _compare, "cycle": _cycle}
LEVEL, MINUTES = ("level over its mark", "mm"), ("took", "min")
READ = {
    "flush": [("oil out", "mL"), ("of it last, no bubbles", "mL"), ("filled up", "mL"), LEVEL, MINUTES],
    "hand": [("bubbles: until stroke", "no."), ("filled up", "mL"), LEVEL, MINUTES],
    "stand": [("from", "h:min"), ("to", "h:min"), ("oil", "°C"), LEVEL],
    "refill": [("filled in", "mL"), ("level before", "mm"), ("level after", "mm")],
    "compare": [
        ("apart at 25 %", "mm"), ("apart at 50 %", "mm"), ("apart at 75 %", "mm"), ("at the stops", "mm"),
        ("last moves later by", "s"), ("springs back", "mm"), ("pressure stands after", "s"), ("motor at the stops", "A"), ("level rises", "mm"),
    ],
    "cycle": [("bubbles seen: until stroke", "no."), LEVEL, MINUTES],
}  # fmt: skip


def asked_for(step, rig):
    """Cautions of one step on this rig."""
    found = cautions.of_steps([step])
    behind = rig.synchroniser in ("rotary_divider", "series_pair") and step.kind in ("cycle", "compare", "flush")
    return (*found, cautions.BLOCKED) if behind else found


def tell(steps, rig, tags):
    """All steps in words, in their order."""
    apart, told = (), []
    for step in steps:
        before = [] if step.kind == "refill" else list(_before(step, apart, rig, tags))
        apart = apart if step.kind == "refill" else step.parted
        counted, many = ("bursts", step.bursts) if step.kind == "flush" else ("strokes", step.strokes)
        held = [("hands hold up to", "N")] if step.kind == "compare" and step.rods == "held" else []
        do = [*before, *DO[step.kind](step, rig)]
        told.append(Told(TITLES[step.kind], do, SEEN[step.kind], READ[step.kind] + held, counted, many, asked_for(step, rig)))
    return told

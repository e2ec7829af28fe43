"""A run in words. Every number comes from the table; the sentences only choose between forms."""

import numpy as np

from . import _core, cautions
from .tables import FORMS, STATIONS

NAMES = {
    "cap_chamber": "cap side of the {} cylinder",
    "rod_chamber": "rod side of the {} cylinder",
    "cap_line": "{} cap line",
    "rod_line": "{} rod line",
    "outlet": "{} outlet of the synchroniser",
    "metering_chamber": "{} metering chamber",
    "divider": "{} side of the divider",
    "link": "link behind the {} cylinder",
}
SHARED = {
    "valve_block.p": "passage P of the valve block",
    "valve_block.a": "passage A of the valve block",
    "valve_block.b": "passage B of the valve block",
    "valve_block.pump_a": "passage between pump and A",
    "valve_block.pump_b": "passage between pump and B",
    "synchroniser.drive": "drive chamber of the synchroniser",
}
LEAST_ML = 0.005  # prints as 0.00
RAN_OUT_ML, RAN_OUT_SHARE = 0.1, 0.1  # a line held that much, and less than this share of it is left
SEEN_ML = 0.05  # changes of bubbles and dissolved air worth a word
LEAST_MM = 0.005
LIFTING = (".cap_chamber", ".cap_line", ".outlet", ".metering_chamber", ".divider")   # air there sets the rods apart


def place_text(place):
    """Name of a place as a mechanic says it: "left cap line"."""
    branch, _, kind = place.partition(".")
    if place in SHARED:
        return SHARED[place]
    return NAMES[kind].format(branch) if kind in NAMES else place


def books(run):
    """What the accounts of a run are off by, in one line: errors of oil and air as shares of all that was there."""
    b = run.books
    return (
        f"books: oil off by {b.oil_rel_error:.1e}, air off by {b.air_rel_error:.1e}, transport off by up to "
        f"{b.transport_error_m * 1e3:.2g} mm of rod travel in a stroke, pump work {b.pump_work_j:.4g} J"
    )


def notes(run):
    """What did not go as a step asked, a sentence each."""
    return [f"{text[0].upper()}{text[1:]}." for text in run.notes]


def air_ml(mass_kg):
    return _core.laws.free_air_m3(mass_kg) * 1e6


def remains(run):
    """What the contents at the end of a run say about slugs, dissolved air and the reservoir: some sentences."""
    contents, rig = run.contents, run.inputs.rig
    return [*_slugs(contents), *_dissolved(contents, rig), *_reservoir(contents, rig)]


def _slugs(contents):
    lines = [place for place in contents.places if place.endswith("_line")]
    held = {line: air_ml(sum(x["gas_kg"] for x in contents.parcels(line) if x["slug"])) for line in lines}
    named = [f"{ml:.2f} mL in the {place_text(line)}" for line, ml in held.items() if ml >= LEAST_ML]
    return [f"Slugs still stand in lines: {', '.join(named)}."] if named else []


def _oil_m3(oil_kg, contents, rig):
    density = _core.laws.oil_density(
        density_15_kg_per_m3=rig.get("oil.density_15_kg_per_m3"),
        expansion_per_k=rig.get("oil.expansion_per_k"),
        temperature_k=rig.get("oil.temperature_k") + contents.warmed_k,
    )
    return oil_kg / density


def _dissolved(contents, rig):
    """Oil that has taken up air under pressure holds more than it can at rest."""
    limit = _core.laws.dissolved_at_kg_per_m3(bunsen=rig.get("air.bunsen"), p_pa_abs=101325.0)
    places = contents.places.values()
    total = air_ml(sum(p["dissolved_kg"] for p in places))
    above = air_ml(sum(max(0.0, p["dissolved_kg"] - limit * _oil_m3(p["oil_kg"], contents, rig)) for p in places))
    if total < LEAST_ML:
        return []
    text = f"{total:.2f} mL of air is dissolved in the circuit's oil"
    if above >= LEAST_ML:
        text += (
            f", {above:.2f} mL of it from bubbles that went into solution under pressure: more than oil can hold at "
            "atmospheric pressure, so it comes back as fine bubbles when the pressure is gone"
        )
    return [text + "."]


def _reservoir(contents, rig):
    """Bubbles in the reservoir's oil have not risen out of it yet, and are drawn in again."""
    tank = contents.reservoir
    coarse, fine, foam = (air_ml(tank[f"{form}_kg"]) for form in ("coarse", "fine", "foam"))
    told = []
    if coarse + fine >= LEAST_ML:
        litres = _oil_m3(tank["oil_kg"], contents, rig) * 1e3
        told.append(
            f"{coarse + fine:.2f} mL of bubbles ({coarse:.2f} mL coarse, {fine:.2f} mL fine) are in the reservoir's "
            f"oil, {(coarse + fine) / litres:.2f} mL to the litre: they go round, the pump draws them in again."
        )
    if foam >= LEAST_ML:
        told.append(f"{foam:.2f} mL of air stands on the reservoir's oil as foam.")
    return told


DONE = {"hand": "by hand", "stand": "standing", "flush": "flushing", "refill": "filling up", "compare": "comparing the rods"}


def _compared(row):
    """What a person read while comparing the rods; what could not be read is left out."""
    apart = [row[f"apart_{s}_mm"] for s in STATIONS]
    if np.isnan(apart[-1]):
        yield "the rods did not get through three quarters of their travel"
    else:
        yield f"at 25, 50 and 75 % the rods stood {', '.join(f'{x:+.1f}' for x in apart)} mm apart"
    if not np.isnan(row["apart_at_stops_mm"]):
        yield f"at the stops {row['apart_at_stops_mm']:+.1f} mm"
    if row["last_moves_s"] - row["first_moves_s"] >= 0.1:
        yield f"the last rod began to move {row['last_moves_s'] - row['first_moves_s']:.1f} s after the first"
    if row["springs_back_mm"] > 0:
        yield f"one sprang back by {row['springs_back_mm']:.1f} mm when the motor stopped half way"
    if not np.isnan(row["to_pressure_s"]):
        took = f"after {row['to_pressure_s']:.1f} s" if row["to_pressure_s"] >= 0.05 else "at once"
        yield f"at the stops the pressure stood {took} and the motor drew {row['current_a']:.0f} A"
    if row["level_rise_mm"] > 0:
        yield f"the level rose by {row['level_rise_mm']:.0f} mm when that was let go"
    if not np.isnan(row["held_n"]):
        yield f"hands held the rods with up to {row['held_n']:.0f} N"


def step_told(row, step, before=None):
    """One step between strokes, and what the procedure says of it and of the one before it, in a sentence."""
    told = list(_compared(row)) if row["kind"] == "compare" else []
    if step.bleed:
        told.append(f"bleed screws stood open at the {' and the '.join(place_text(p) for p in step.bleed)}")
    if step.cracked_deg:
        told.append(f"the bypass valves were cracked by {step.cracked_deg:g}°")
    if step.temperature_deg_c is not None:
        told.append(f"oil and walls came to {row['oil_deg_c']:.0f} °C, {row['highest_bar_gauge']:.0f} bar gauge at most")
    if row["kind"] == "flush":
        times = f" in {row['bursts']} bursts" if row["bursts"] > 1 else ""
        where = "went round" if step.line_end == "joined" else "ran out"
        told.append(f"{row['out_ml']:.1f} mL of oil {where}{times}")
        if row["bubbles_seen"]:
            told.append(f"bubbles were seen, the last {row['clear_ml']:.1f} mL came without")
        elif row["out_ml"] > 0:
            told.append("no bubbles were seen")
    made = before is not None and before.parted and not step.parted and step.kind != "refill"
    joints = " at the joints that were made first" if made else ""
    for key, what in (("refilled_ml", "of oil filled up"), ("spilled_ml", "of oil spilled" + joints)):
        if row[key] >= LEAST_ML:
            told.append(f"{row[key]:.1f} mL {what}")
    for key, what in (("vented_ml", "of air came out"), ("drawn_in_ml", "of air came in" + joints)):
        if row[key] >= LEAST_ML:
            told.append(f"{row[key]:.2f} mL {what}")
    told.append(f"{row['free_air_ml']:.2f} mL of free air is left inside")
    return f"Step {row['step']} ({DONE[row['kind']]}, {row['minutes']:.1f} min): {'; '.join(told)}."


def joints_of(steps, i):
    """The last step up to there that does not leave the joints as they are, if there is one."""
    return next((s for s in reversed(steps[: i + 1]) if s.kind != "refill"), None)


def story(run):
    """One sentence per step and stroke, then what the run found."""
    teller, steps, lines = _Teller(run), list(run.steps), []
    asked = run.inputs.procedure.steps
    for i in range(len(run.strokes)):
        on_the_way = [row for row in steps if row["before_stroke"] == max(i, 1) and i != 1]
        lines += [step_told(row, asked[row["step"] - 1], joints_of(asked, row["step"] - 2)) for row in on_the_way]
        lines.append(teller.stroke(i))
    return "\n".join(lines + teller.end())


def reasons(run):
    """Why the rods of a run are not in step, a sentence each."""
    found = run.mechanisms()
    asked = {c for m in found for c in m.cautions}
    lines = [f"Reason: {m.name} (up to {m.costs_mm:.1f} mm): {m.text}." for m in found]
    return lines + [f"Before anything is done about it: {' '.join(c for c in cautions.CAUTIONS if c in asked)}"] * bool(asked)


def why_not_fewer(run):
    """What was still where one stroke before the rods kept step; of the last stroke if they never do."""
    table = run.strokes
    if not len(table):
        return "The run has no stroke."
    reached = run.parallel.answered is _core.Answered.reached
    at = run.parallel.stroke - 1 if reached else len(table) - 1
    teller, worst = _Teller(run), table.worst_mm()[at]
    when = f"After {at} strokes" if at != 1 else "After 1 stroke"
    if np.isnan(worst):
        rods = teller.rods(at, table[at])
    elif abs(worst) <= run.tolerance_mm:
        but = "does not stay there" if reached else "the strokes after it have not confirmed it"
        rods = f"the rods differ by {abs(worst):.2f} mm, which is inside {run.tolerance_mm:g} mm, but {but}"
        if at == 0:
            rods = f"the rods differ by {abs(worst):.2f} mm; the count begins with the first stroke"
    else:
        rods = f"the rods still differ by {abs(worst):.2f} mm{teller.who(at)}, more than {run.tolerance_mm:g} mm"
    sides = [_lifting_air(teller, branch, at) for branch in teller.branches]
    told = "; ".join(f"{branch} {ml:.2f} mL{most}" for branch, (ml, most) in zip(teller.branches, sides))
    then = ""
    if reached:
        now = [_lifting_air(teller, branch, at + 1)[0] for branch in teller.branches]
        then = f" After stroke {at + 1}: {', '.join(f'{b} {ml:.2f} mL' for b, ml in zip(teller.branches, now))}."
    return f"{when} {rods}. Free air on the lifting side then: {told}.{then}"


def _lifting_air(teller, branch, at):
    """Of one branch [mL], and in words where most of it is."""
    held = [(teller.air[i, at], p) for i, p in enumerate(teller.places) if p in {branch + kind for kind in LIFTING}]
    ml, place = max(held)
    return sum(x for x, _ in held), f" ({ml:.2f} mL in the {place_text(place)})" if ml >= LEAST_ML else ""


class _Teller:
    def __init__(self, run):
        self.run, self.table = run, run.strokes
        self.branches = run.inputs.rig.branches
        heads, tails = "free_air_", "_ml"
        sums = {f"{heads}{b}{tails}" for b in (*self.branches, "shared")}
        self.places = [c[len(heads) : -len(tails)] for c in self.table.columns if c.startswith(heads) and c not in sums]
        self.air = np.array([self.table[f"{heads}{p}{tails}"] for p in self.places]) if len(self.table) else None
        self.worst = self.table.worst_mm() if len(self.table) else []

    def stroke(self, i):
        row = self.table[i]
        if i == 0:
            return f"Before the first stroke {self.inside(0)}; {self.rods(0, row)}."
        return (
            f"Stroke {row['stroke']}{self.how(row)}: {self.vented(i)}{self.round(i)}; {self.inside(i)}"
            f"{self.moved(i)}{self.ran_out(i)}{self.exchanged(i)}; {self.rods(i, row)}."
        )

    def how(self, row):
        """Bypass, where there is one."""
        return f" (bypass {row['kind']})" if self.run.inputs.rig.has_bypass else ""

    def vented(self, i):
        gone = np.diff(self.table["vented_ml"], prepend=0.0)
        now = gone[i]
        if abs(now) < LEAST_ML:
            return "no air came out"
        text = f"{now:.2f} mL of air came out"
        if i == 1:
            return text
        change = now - gone[i - 1]
        if abs(change) < LEAST_ML:
            return text + ", as much as the stroke before"
        return text + f", {abs(change):.2f} mL {'more' if change > 0 else 'less'} than the stroke before"

    def round(self, i):
        """What the circuit lost and was not vented is in the reservoir, and the other way round, if none came in."""
        before = self.run.inputs.contents.ledger.air_ingested_kg
        if air_ml(self.run.books.ledger.air_ingested_kg - before) >= LEAST_ML:
            return ""
        all_air = sum(self.table[f"{form}_ml"] for form in (*FORMS, "dissolved", "vented"))
        kept = all_air[i - 1] - all_air[i]
        if abs(kept) < SEEN_ML:
            return ""
        where = "stayed in the reservoir" if kept > 0 else "came in with the reservoir's oil, as bubbles or dissolved"
        return f"; {abs(kept):.2f} mL {where}"

    def inside(self, i):
        total = self.air[:, i].sum()
        if total < LEAST_ML:
            return "no free air is left inside"
        most = int(np.argmax(self.air[:, i]))
        return (
            f"{total:.2f} mL of free air {'is' if i == 0 else 'is left'} inside, most of it "
            f"({self.air[most, i]:.2f} mL) in the {place_text(self.places[most])}"
        )

    def moved(self, i):
        """Where more air went than anywhere else: a gain says where a stroke has pushed it."""
        gain = self.air[:, i] - self.air[:, i - 1]
        most = int(np.argmax(gain))
        if gain[most] < 10 * LEAST_ML:
            return ""
        return f" ({gain[most]:.2f} mL moved into the {place_text(self.places[most])})"

    def ran_out(self, i):
        """Lines that lost nearly all they held, in one stroke."""
        text = ""
        for place, (before, now) in zip(self.places, self.air[:, i - 1 : i + 1]):
            if place.endswith("_line") and before >= RAN_OUT_ML and now <= RAN_OUT_SHARE * before:
                text += f"; the air of the {place_text(place)} ran out ({before:.2f} mL before, {now:.2f} mL now)"
        return text

    def exchanged(self, i):
        """Bubbles and dissolved air, changed against each other; why is not said: fresh oil brings dissolved air."""
        fine, dissolved = (np.diff(self.table[f"{form}_ml"])[i - 1] for form in ("fine", "dissolved"))
        if min(abs(fine), abs(dissolved)) < SEEN_ML or fine * dissolved > 0:
            return ""
        more, less = ("more", "less") if fine > 0 else ("less", "more")
        return f"; {abs(fine):.2f} mL {more} are fine bubbles and {abs(dissolved):.2f} mL {less} is dissolved"

    def rods(self, i, row):
        if row["check"] == "not done":
            return "the rods were not compared"
        if row["check"] == "not re-phased" and self.run.inputs.rig.synchroniser != "metering_pistons":
            return "the rods cannot be compared, because they do not come home"
        if row["check"] == "not re-phased":
            return (
                "the rods cannot be compared, because the carriage of the synchroniser stands "
                f"{row['carriage_mm']:.2f} mm off its stop"
            )
        if row["check"] != "ok":
            return "the rods cannot be compared, because they do not get through three quarters of their travel"
        now = self.worst[i]
        text = f"the rods {'would differ' if i == 0 else 'then differ'} by up to {abs(now):.2f} mm{self.who(i)}"
        before = self.worst[i - 1] if i > 0 else np.nan
        if np.isnan(before):
            return text
        change = abs(now) - abs(before)
        if abs(change) < LEAST_MM:
            return text + ", as before"
        return text + f", {abs(change):.2f} mm {'more' if change > 0 else 'less'} than before"

    def who(self, i):
        return "" if abs(self.worst[i]) < LEAST_MM else f" ({self.table['behind'][i]} lags)"

    def unseen(self):
        """Air that is alike on all sides, or on the rod sides, hardly sets the rods apart: the comparison does not find it."""
        hidden = self.air[:, -1].sum()
        where = "alike on all sides or where it hardly moves a rod, so that the comparison does not show it"
        return f" ({hidden:.2f} mL is still inside, {where})" if hidden >= LEAST_ML else ""

    def end(self):
        run, lines = self.run, notes(self.run)
        if not run.status.ok:
            lines.append(f"The run stopped early: {run.status!r}.")
        within = f"within {run.tolerance_mm:g} mm"
        bled = run.bled
        for verdict, what in ((bled, "the air's part of the difference"), (run.parallel, "the whole difference")):
            answered = verdict.answered.name
            if answered == "reached":
                found = f": no further air found at this resolution{self.unseen()}" if verdict is bled else ""
                lines.append(
                    f"From stroke {verdict.stroke} on {what} stays {within}, for this stroke and the next three{found}."
                )
            elif answered in ("never", "not_within", "not_defined"):
                lines.append(f"{what[0].upper()}{what[1:]} does not come {within}: {verdict.reason}.")
        return lines + reasons(run) + (remains(run) if len(self.table) else [])

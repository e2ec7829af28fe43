"""The circuit of a rig as inline SVG: cylinders at the top, what divides the flow below them, the pack at the bottom."""

from html import escape

from .stories import place_text
from .symbols import (
    bleed_point, box, check, cylinder, dot, group, joint, label, line, motor, pressure_valve, pump, reservoir, shaft, shut_off,
    solid, throttle,
)  # fmt: skip

WIDTH, HEIGHT = 960, 766   # units of the picture
COLUMN, MOST = 205, 4      # from branch to branch; so many are drawn, of more the first two
Y_PORT, Y_CAP, Y_BACK, Y_OUT, Y_IN = 66, 164, 226, 262, 396   # rod port, cap port, rail to B, outlets, rail from A
LOWER = 26                 # the pack's own heights count from here
KINDS = {
    "tee": "tee",
    "metering_pistons": "metering pistons on one carriage",
    "spool_divider": "spool divider",
    "divider_combiner": "divider/combiner",
    "rotary_divider": "rotary divider",
    "series_pair": "cylinders in series",
}


class Drawing:
    """Where everything stands, and what has been drawn."""

    def __init__(self, rig):
        self.rig, n = rig, len(rig.branches)
        self.names = rig.branches if n <= MOST else rig.branches[:2]
        self.more = rig.branches[len(self.names):]
        left = 120 if self.more else 120 + COLUMN * (MOST - n) / 2
        self.x = {b: left + COLUMN * i for i, b in enumerate(self.names)}
        self.first, self.last = left, left + COLUMN * (len(self.names) - 1)
        self.right, self.valve = 935, 430          # where B goes up; the middle of the directional valve
        self.a, self.b = self.valve - 70, self.valve + 150
        self.series = rig.synchroniser == "series_pair"
        self.spool_kind = rig.synchroniser in ("spool_divider", "divider_combiner")
        self.parts, self.places = [], {}

    def add(self, *parts):
        self.parts += parts

    def get(self, path):
        return self.rig.get(path)

    def branches(self):
        for i, (b, x) in enumerate(self.x.items()):
            self.places |= {f"{b}.cap_chamber": (x + 27, 168), f"{b}.rod_chamber": (x + 27, 62)}
            self.add(cylinder(x, b))
            if self.series:
                self.link(i, b, x)
            else:
                self.add(line((x + 80, Y_PORT), (x + 80, Y_BACK)), dot(x + 80, Y_BACK), line((x, Y_CAP), (x, Y_OUT)))
        if self.series:
            self.add(line((self.first, Y_CAP), (self.first, Y_IN)))
        else:
            self.add(line((self.first + 80, Y_BACK), (self.right, Y_BACK)))
        if self.more:
            self.others()

    def link(self, i, b, x):
        """From the rod side of a cylinder in series to the next one's cap line, or to B."""
        down = ((x + 80, Y_PORT), (x + 80, Y_BACK))
        if i + 1 == len(self.rig.branches):
            self.add(line(*down, (self.right, Y_BACK)))
        else:
            self.add(line(*down, (x + COLUMN, Y_BACK), *([(x + COLUMN, Y_CAP)] if i + 1 < len(self.names) else [])))
            self.places[f"{b}.link"] = (x + 142, Y_BACK)
        if self.get("synchroniser.rephasing_area_m2") > 0:
            way = ((x + 16, 150), (x - 18, 150), (x - 18, 78), (x + 16, 78))
            self.add(line(*way), throttle(x - 18, 114, "re-phasing passage, open at the ends of the stroke"))

    def others(self):
        x, how = self.last + COLUMN, "in series" if self.series else "in the same way"
        self.add(label(x, 80, f"and {len(self.more)} more {how}:"))
        self.add(*(label(x, 104 + 20 * i, b) for i, b in enumerate(self.more)))
        if self.series:
            self.add(label(x + 12, Y_BACK + 6, "... on to the last one's rod side, then B"))
            self.add(line((self.right - 40, Y_BACK), (self.right, Y_BACK)))
        else:
            self.add(line((self.last, Y_IN), (x + 40, Y_IN)))

    def synchroniser(self):
        kind, before = self.rig.synchroniser, self.parts
        self.parts = []
        drawn = {"tee": self.tee, "metering_pistons": self.metering, "rotary_divider": self.rotary, "series_pair": self.chain}
        drawn.get(kind, self.spool)()
        self.parts = [*before, group(f"synchroniser {kind}", KINDS[kind], *self.parts)]
        self.add(label(24, Y_IN + 28, "synchroniser:"), label(24, Y_IN + 48, KINDS[kind]), dot(self.a, Y_IN))
        ends = [self.a, self.first, *([] if self.series else [self.last - 18 * (kind == "metering_pistons")])]
        if self.rig.has_bypass:
            ways = {b: x + (66 if self.spool_kind and x == self.last else -66) for b, x in self.x.items()}
            ends += ways.values()
            for b, way in ways.items():
                x = self.x[b]
                self.add(line((way, Y_IN), (way, Y_OUT), (x, Y_OUT)), dot(x, Y_OUT), dot(way, Y_IN))
                self.add(shut_off(way, 328, f"{b} bypass valve"))
                self.places[f"{b}.outlet"] = (x, 244)
            self.add(label(self.first - 76, Y_OUT - 8, "bypass"))
        self.add(line((min(ends), Y_IN), (max(ends), Y_IN)))

    def tee(self):
        for x in self.x.values():
            self.add(line((x, Y_OUT), (x, Y_IN)), dot(x, Y_IN))

    def chain(self):
        """Cylinders in series: nothing else stands in the way."""
        self.add(dot(self.first, Y_IN))

    def metering(self):
        for b, x in self.x.items():
            piston = [line((x - 26, y), (x + 26, y)) for y in (316, 324)] + [line((x + s, 324), (x + s, 367)) for s in (-4, 4)]
            self.add(line((x, Y_OUT), (x, 284)), box(x - 26, 284, 52, 74), *piston)
            self.add(line((x - 18, 358), (x - 18, Y_IN)), dot(x - 18, Y_IN))
            self.places[f"{b}.metering_chamber"] = (x + 14, 296)
        self.add(shaft(self.first - 30, self.last + (90 if self.more else 30), 370))
        self.places["synchroniser.drive"] = (self.first + 16, 344)

    def spool(self):
        """A fixed orifice on each side, behind it an edge of the spool, which springs hold in the middle."""
        middle, inner = (self.first + self.last) / 2, COLUMN / 2 - 34
        self.add(box(middle - inner - 16, 290, 2 * inner + 32, 76), line((middle, 366), (middle, Y_IN)), dot(middle, Y_IN))
        self.add(line((middle, 366), (middle, 352)), dot(middle, 352), line((middle - inner, 352), (middle + inner, 352)))
        self.add(line((middle - inner + 36, 306), (middle + inner - 36, 306)))
        for (b, x), side in zip(self.x.items(), (-1, 1)):
            s = middle + side * inner
            spring = [(middle + side * (inner - 12 - 6 * i), 300 if i % 2 else 312) for i in range(5)]
            self.add(line((x, Y_OUT), (x, 278), (s, 278), (s, 352)), line(*spring))
            self.add(throttle(s, 332, "fixed orifice and edge of the spool"))
            self.add(solid((s, 296), (s - 6, 308), (s + 6, 308)))
            self.places[f"{b}.divider"] = (s, 352)
            if self.rig.synchroniser == "divider_combiner":
                self.add(solid((s, 320), (s - 6, 308), (s + 6, 308)))
            else:
                way = x + side * 26
                self.add(line((x, 278), (way, 278), (way, 326)), check(way, 338, 1, "return check"))
                self.add(line((way, 350), (way, Y_IN)), dot(way, Y_IN))

    def rotary(self):
        relief, makeup = (self.get(f"synchroniser.{key}") > 0 for key in ("outlet_relief_pa_gauge", "makeup_m3_per_s_pa"))
        self.add(shaft(self.first - 30, self.last + (90 if self.more else 30), 354))
        for b, x in self.x.items():
            arrows = [solid((x, y), (x - 9, y + 13), (x + 9, y + 13)) for y in (332, 362)]
            self.add(group("section", f"{b} section", f'<circle class="white" cx="{x:g}" cy="354" r="22"/>', *arrows))
            self.add(line((x, Y_OUT), (x, 332)), line((x, 376), (x, Y_IN)), dot(x, Y_IN))
            if relief:
                self.add(line((x, Y_OUT), (x + 54, Y_OUT)), reservoir(x + 54, 330))
                self.add(pressure_valve(x + 54, 294, f"{b} outlet relief valve", "outlet_relief"))
            if makeup:
                here = x + (106 if relief else 54)
                self.add(line((x, Y_OUT), (here, Y_OUT), (here, 274)), check(here, 286, -1, f"{b} make-up check"))
                self.add(line((here, 298), (here, 328)), reservoir(here, 330, 14))

    def pack(self):
        a, b, before = self.a, self.b, self.parts
        out = 404 + LOWER
        self.add(line((a, Y_IN), (a, out + 8)), line((b, out + 8), (b, out), (self.right, out), (self.right, Y_BACK)))
        self.add(label(a + 12, 434, "A", bold=True), label(b - 4, 424, "B", "end", True))
        self.parts = []
        for side, x in (("a", a), ("b", b)):
            self.holding(side, x)
        (self.closed if self.rig.circuit == "closed" else self.open)()
        self.parts = [*before, f'<g transform="translate(0 {LOWER})">{"".join(self.parts)}</g>']
        own = {"valve_block.p": (self.valve + 13, 584), "valve_block.pump_a": (a, 514), "valve_block.pump_b": (b, 514)}
        self.places |= {place: (x, y + LOWER) for place, (x, y) in own.items()}
        self.places |= {"valve_block.a": (a, 428), "valve_block.b": (b + 40, out)}

    def holding(self, side, x):
        """What stands between port A or B of the valve block and the valve: from y 412 to 486 at x."""
        port, other, height = (side.upper(), "B", "lowering") if side == "a" else (side.upper(), "A", "lifting")
        crack = self.get("valve_block.counterbalance_pa_gauge" if side == "a" else "valve_block.counterbalance_b_pa_gauge")
        area = self.get(f"valve_block.{height}_area_m2")

        def past(at, low):   # a check beside it, for oil on its way up
            self.add(line((x, 416), (at, 416), (at, 438)), check(at, 450), line((at, 462), (at, low), (x, low)))

        if crack > 0:
            self.add(pressure_valve(x, 450, f"counterbalance valve at {port}", "counterbalance", [(x - 44, 457)]))
            self.add(line((x, 412), (x, 416)), line((x, 484), (x, 486)))
            self.add(label(x - 48, 463, f"counterbalance, pilot from {other}", "end"))
            past(x + 52, 484)
        elif self.get(f"valve_block.check_{side}_ratio") > 0:
            self.add(line((x, 412), (x, 438)), check(x, 450, -1, f"pilot-operated check valve at {port}"))
            self.add(line((x, 462), (x, 486)), line((x - 44, 456), (x - 9, 456), dash=True))
            self.add(label(x - 48, 462, f"pilot from {other}", "end"))
        elif area > 0 and area != self.get("valve_block.path_area_m2"):
            self.add(line((x, 412), (x, 486)), throttle(x, 450, f"{height} restrictor, one way"))
            past(x + 40, 480)
        else:
            self.add(line((x, 412), (x, 486)))

    def open(self):
        v, p, t = self.valve, self.valve + 13, self.valve + 39
        self.add(line((self.a, 486), (self.a, 494), (p, 494), (p, 506)), line((self.b, 486), (self.b, 494), (t, 494), (t, 506)))
        straight = [line((p, 506), (p, 558)), solid((p, 508), (p - 5, 519), (p + 5, 519)), line((t, 506), (t, 558))]
        straight.append(solid((t, 556), (t - 5, 545), (t + 5, 545)))
        crossed = [line((p - 52, 558), (t - 52, 506)), solid((t - 52, 507), (t - 62, 517), (t - 54, 521))]
        crossed += [line((p - 52, 506), (t - 52, 558)), solid((t - 52, 557), (t - 62, 547), (t - 54, 543))]
        self.add(group("directional", "directional valve", box(v, 506, 52, 52), box(v - 52, 506, 52, 52), *straight, *crossed))
        self.add(label(v + 62, 530, "directional valve,"), label(v + 62, 549, "drawn as for rods out"))
        self.add(line((p, 558), (p, 592)), check(p, 604, -1, "pump's check valve"), line((p, 616), (p, 632)), pump(p, 656))
        self.add(line((p, 680), (p, 714)), reservoir(p, 712, 46), shaft(p - 66, p - 24, 656), motor(p - 88, 656))
        self.add(line((t, 558), (t, 580), (t + 60, 580), (t + 60, 600)), reservoir(t + 60, 602))
        self.add(line((p, 574), (p - 150, 574)), dot(p, 574), pressure_valve(p - 150, 608, "relief valve", "relief"))
        relief = self.get("valve_block.relief_pa_gauge") / 1e5
        self.add(reservoir(p - 150, 646), label(p - 184, 602, f"relief, {relief:.0f} bar gauge", "end"))
        self.add(label(p - 184, 622, "(as computed with)", "end"))
        self.add(label(p + 32, 662, f"pump, motor {self.get('pump.supply_v'):g} V"))
        self.add(label(p + 54, 718, f"reservoir, {self.get('reservoir.oil_m3') * 1e3:.2g} L at the start"))

    def closed(self):
        a, b, m, y = self.a, self.b, (self.a + self.b) / 2, 540
        self.add(line((a, 486), (a, y), (m - 24, y)), line((b, 486), (b, y), (m + 24, y)), pump(m, y, True))
        self.add(*(line((m + s, y + 24), (m + s, y + 70)) for s in (-3, 3)), motor(m, y + 92))
        for side, port, way in (("A", a, -1), ("B", b, 1)):
            relief, makeup, shuttle = port + way * 230, port + way * 60, port + way * 140
            self.add(line((port, y), (relief, y)), dot(port, y), dot(makeup, y), dot(shuttle, y))
            self.add(pressure_valve(relief, y + 34, f"relief valve {side}", "relief"))
            self.add(pressure_valve(shuttle, y + 34, f"shuttle {side}", "shuttle", [(shuttle - 34, y + 34)]))
            self.add(line((makeup, y), (makeup, y + 26)), check(makeup, y + 38, -1, f"make-up check {side}"))
            self.add(line((makeup, y + 50), (makeup, y + 70)))
            for at, text in ((relief, "relief"), (makeup, "make-up"), (shuttle, "shuttle")):
                self.add(reservoir(at, y + 72), label(at, y + 104, text, "middle"))
        oil, relief = self.get("reservoir.oil_m3") * 1e3, self.get("valve_block.relief_pa_gauge") / 1e5
        told = (
            f"pump both ways, motor {self.get('pump.supply_v'):g} V; relief valves {relief:.0f} bar gauge (as computed with);",
            f"a shuttle is opened by the other side; all to one reservoir, {oil:.2g} L at the start",
        )
        self.add(*(label(m, y + 146 + 22 * i, text, "middle") for i, text in enumerate(told)))


def schematic(rig, joints=None, bleed=()):
    """The circuit as SVG text.

    `joints`: tags of the joints that are taken apart, by name ("left.cap_port"); `bleed`: places whose bleed screw is used.
    """
    d = Drawing(rig)
    d.branches()
    d.synchroniser()
    d.pack()
    d.add(*(bleed_point(*d.places[p], place_text(p), p in bleed) for p in rig.bleed_points if p in d.places))
    at = {"cap_port": (0, 196, -1), "rod_port": (80, 142, 1)}
    for name, tag in (joints or {}).items():
        owner, port = name.split(".")
        if owner in d.x:
            x, y, side = at[port]
            d.add(joint(d.x[owner] + x, y, tag, side))
        elif owner == "valve_block":
            d.add(joint(*((d.a, 411) if port == "a" else (d.right, 310)), tag))
    what = f"Circuit of {rig.name or 'the rig'}: {len(rig.branches)} cylinders, {KINDS[rig.synchroniser]}"
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{escape(what)}">'
    return f"{head}{''.join(d.parts)}</svg>"

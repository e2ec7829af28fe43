"""Circuit of the second model: one state, one time step.

Hydraulics are quasi-static: at every instant the pressures follow from volume balances (oil by its secant law, gas by
p V = const), flows from resistances, rods and carriage from force balances with a true stick state; one algebraic solve
per time step, nothing is integrated but volumes. First order in the step.
"""

import math

import numpy as np

from second_model_divider import RotaryDivider
from second_model_laws import Laws
from second_model_rig import wall_compliance
from second_model_transport import COARSE, FINE, GAS, P0, Line, Tank, none

CAVITY_M3_PER_PA = 2e-7        # below FLOOR_PA a void opens
FLOOR_PA = 1000.0
HOME_M = 1e-4                  # a carriage nearer to its stop than this stands at it
OPTIONS = dict(quantum_m3=0.4e-6, rise=True, cream=True, heads=True, reservoir_keeps_bubbles=True, slugs=True,
               orifice="series", passages_disperse=True, shred=True, fine_profile=True, small_slugs=True, wall=True,
               leak=True, friction=True, home_closed=True, mixture=True, particles=12, seed=0)
FIRST_SHARE = 0.2              # of first bubbles in the oil they lie in, as the library lays them
FROTH = 0.75                   # more gas than this share by volume is no bubbles but a slug


class Stalled(Exception):
    pass


class Circuit(Laws, RotaryDivider):
    """State and physics. Nodes carry one pressure each; a node may hold two volumes (A with the drive chamber, an
    outlet with its metering chamber)."""

    def __init__(self, rig, options, dry=(), opened=(), rods="in"):
        self.rig, self.opt = rig, dict(OPTIONS, **options)
        n = self.n = len(rig.branches)
        self.nodes = ["P", "A", "B"]
        self.tank, self.line, self.geo0 = {}, {}, {}
        self.time = self.motor = 0.0
        self.vented, self.pool = 0.0, none()           # gas gone; bubbles going round in the reservoir
        self.passing, self.still_s, self.still_m3 = 0.0, 0.0, np.zeros(2)
        self.turning = 0                               # way of a rotary divider's shaft; 0: it stands
        self.air = dict(slip=rig.air["slug_slip"] if self.opt["slugs"] else 0.0,
                        ratio=rig.air["slug_ratio"] if self.opt["slugs"] else 0.0, mu=rig.oil["mu"],
                        sigma=rig.air["surface_tension_n_per_m"], fine_m=rig.air["fine_m"], nu=rig.oil["nu"],
                        coarse_m=rig.air["coarse_m"], profile=self.opt["fine_profile"], cream=self.opt["cream"],
                        small=self.opt["small_slugs"], froth=FROTH, particles=self.opt["particles"])
        block, sync = rig.valve_block, rig.synchroniser
        for k in "PAB":
            self.tank[k] = Tank(block["passage_m3"], "valve_block" not in dry)
            self.geo0[k] = block["passage_m3"]
        self.x = [0.0 if rods == "in" else b["stroke_m"] for b in rig.branches]
        self.top = [b["stroke_m"] for b in rig.branches]
        self.grow = []                                 # per mover: node -> growth of volume per travel
        for i, b in enumerate(rig.branches):
            names = ([f"O{i}"] if rig.divided else []) + [f"L{i}", f"C{i}", f"R{i}", f"K{i}"]
            self.nodes += names
            self.geo0[f"C{i}"] = b["cap_clearance_m3"]
            self.geo0[f"R{i}"] = b["rod_clearance_m3"] + b["ring_m2"] * b["stroke_m"]
            self.grow.append({f"C{i}": b["cap_m2"], f"R{i}": -b["ring_m2"]})
            if rig.divided:
                self.geo0[f"O{i}"] = sync["outlet_m3"]
                self.tank[f"O{i}"] = Tank(sync["outlet_m3"], "synchroniser" not in dry)
            for k in (f"C{i}", f"R{i}"):
                self.tank[k] = Tank(self.geometry(k), f"{rig.names[i]}.cylinder" not in dry)
            for k, which in ((f"L{i}", "cap_line"), (f"K{i}", "rod_line")):
                line = Line(b[which + "_bore_m"], b[which + "_length_m"], self.opt["quantum_m3"],
                            7919 * i + self.opt["seed"])
                line.compliance = wall_compliance(
                    b[which + "_bore_m"], b[which + "_wall_m"], b[which + "_wall_modulus_pa"],
                    b[which + "_wall_poisson"]) if self.opt["wall"] else 0.0
                line.ohm = 128.0 * rig.oil["mu"] * b[which + "_length_m"] / (math.pi * line.bore**4)
                line.climb_m = 0.0 if k[0] == "L" else {"rod_down": -1.0, "rod_up": 1.0, "level": 0.0}[
                    b["attitude"]] * b["stroke_m"]     # the rod port lies a stroke under the cap port, at the block's height
                line.loss = b[which + "_minor_loss"] * 0.5 * rig.oil["rho"] / line.area**2
                self.line[k], self.geo0[k] = line, line.volume
                name = f"{rig.names[i]}.{which}"
                air = line.volume if name in dry else rig.air["joint_m3"] if name in opened else 0.0
                if air > 0.0:
                    self.first_air(line, air)
        if rig.metering:
            self.drive_m2 = sum(b["cap_m2"] for b in rig.branches)
            self.top.append((1.0 + sync["over_travel"]) * max(b["stroke_m"] for b in rig.branches))
            self.grow.append({"A": self.drive_m2})
            self.geo0["A"] += sync["clearance_m3"]
            self.tank["D"] = Tank(sync["clearance_m3"], "synchroniser" not in dry)
            for i, b in enumerate(rig.branches):
                full = sync["clearance_m3"] + b["cap_m2"] * self.top[-1]
                self.tank[f"M{i}"] = Tank(full, "synchroniser" not in dry)
                self.geo0[f"O{i}"] += full
                self.grow[-1][f"O{i}"] = -b["cap_m2"]
            self.x.append(0.0)
        self.v = np.zeros(len(self.x))
        self.direction = [0] * len(self.x)             # 0: held by friction or at a stop
        self.index = {k: j for j, k in enumerate(self.nodes)}
        self.grow_matrix = np.zeros((len(self.nodes), len(self.x)))
        for m, table in enumerate(self.grow):
            for k, a in table.items():
                self.grow_matrix[self.index[k], m] = a
        self.geo0_array = np.array([self.geo0[k] for k in self.nodes])
        self.wall = np.array([self.line[k].compliance * self.geo0[k] if k in self.line else 0.0 for k in self.nodes])
        self.p = np.full(len(self.nodes), P0)
        fine, coarse = rig.air["dispersed_share"], rig.air["coarse_share"]
        for t in self.tank.values():                   # first air of a dry part
            t.m[1:] = t.m[1] * np.array([1.0 - fine - coarse, coarse, fine])

    def first_air(self, line, air):
        """At the cylinder's end; bubbles as thick as first air lies in oil, before the slug."""
        fine, coarse = self.rig.air["dispersed_share"], self.rig.air["coarse_share"]
        bubbles = (fine + coarse) * air
        line.oil = line.volume - air
        room = min(bubbles * (1.0 - FIRST_SHARE) / FIRST_SHARE, line.oil)
        for kind, amount in ((COARSE, coarse * air), (FINE, fine * air)):
            if amount > 0.0:
                m = 120
                q = line.oil - room * (1.0 - (np.arange(m) + 0.5) / m)
                line.add(q, np.full(m, amount / m), kind, line.cross(m, 0.0, False))
        slug = air - bubbles
        if slug > 0.0:
            m = max(1, int(math.ceil(slug / line.piece)))
            line.add(np.full(m, line.oil), np.full(m, slug / m), GAS, (np.zeros(m), np.zeros(m)))

    def geometry(self, k):
        return self.geo0[k] + sum(t.get(k, 0.0) * x for t, x in zip(self.grow, self.x))

    def contents(self):
        oil, gas = np.zeros(len(self.nodes)), np.zeros(len(self.nodes))
        for k, t in self.tank.items():
            j = self.index.get({"D": "A"}.get(k, k.replace("M", "O")))
            oil[j] += t.m[0]
            gas[j] += t.m[1:].sum()
        for k, line in self.line.items():
            oil[self.index[k]], gas[self.index[k]] = line.oil, line.gas()
        return oil, gas

    def solve(self, dt, edges, held, loads, couple, oil, gas):
        """Pressures and speeds at the end of dt; held[m] is None for a mover that slides, else its given speed."""
        n, mv = len(self.nodes), len(self.x)
        o = self.rig.oil
        k0, slope = o["k0"], o["modulus_slope"]
        p, v = self.p.copy(), np.array([0.0 if h is None else h for h in held])
        free = [m for m in range(mv) if held[m] is None]
        x = np.array(self.x)
        size = n + len(free)
        run = [self.friction(m) for m in free]
        ci = self.coupling_matrix(couple, mv)
        for _ in range(60):
            jac, res = np.zeros((size, size)), np.zeros(size)
            pg = p - P0
            den = k0 + slope * pg
            cav = np.maximum(0.0, FLOOR_PA - p) * CAVITY_M3_PER_PA
            pos = np.maximum(p, 1.0)
            res[:n] = oil * (1.0 - pg / den) + gas * P0 / pos + cav - self.geo0_array \
                - self.grow_matrix @ (x + dt * v) - self.wall * pg
            dv = -oil * k0 / den**2 - gas * P0 / pos**2 - (cav > 0.0) * CAVITY_M3_PER_PA - self.wall
            jac[np.arange(n), np.arange(n)] = dv
            flows = []
            for i, j, law in edges:                    # content, less what leaves, plus what enters = geometry
                q, s = law((P0 if i < 0 else p[i]) - (P0 if j < 0 else p[j]))
                flows.append(q)
                if i >= 0:
                    res[i] -= dt * q
                    jac[i, i] -= dt * s
                if j >= 0:
                    res[j] += dt * q
                    jac[j, j] -= dt * s
                if i >= 0 and j >= 0:
                    jac[i, j] += dt * s
                    jac[j, i] += dt * s
            if self.turning:
                self.turn(dt, p, edges, flows, res, jac)
            for r, m in enumerate(free):
                jac[:n, n + r] = -dt * self.grow_matrix[:, m]
                force = self.grow_matrix[:, m] @ pg - loads[m] - ci[m] @ (x + dt * v)
                res[n + r] = (force - self.direction[m] * run[r][1] - run[r][2] * v[m])
                jac[n + r, :n] = self.grow_matrix[:, m]
                for s, m2 in enumerate(free):
                    jac[n + r, n + s] = -ci[m, m2] * dt - (run[r][2] if m2 == m else 0.0)
            scale = np.concatenate([np.full(n, 1e-9), np.full(len(free), 1e-3)])
            step = np.linalg.solve(jac / scale[:, None], -res / scale)
            dp = np.clip(step[:n], -0.6 * p, 2.0 * p + 1e5)
            p = p + dp
            for r, m in enumerate(free):
                v[m] += step[n + r]
            if np.max(np.abs(dp) / (1.0 + 1e-7 * p)) < 1.0 and np.max(np.abs(res[:n])) < 1e-13:
                return p, v, flows
        return None

    def step(self, dt, valve, motor, bypass, on_panel):
        """One time step of at most dt; returns the step taken."""
        edges = self.edges(valve, motor, bypass)
        loads = (self.rig.panel_loads() if on_panel else [0.0] * self.n) + [0.0] * (len(self.x) - self.n)
        oil, gas = self.contents()
        couple = self.coupling_matrix(on_panel, len(self.x))
        for m, w in enumerate(self.v):                 # a step ends where a rod meets its stop
            room = self.top[m] - self.x[m] if w > 0.0 else self.x[m]
            if self.direction[m] and abs(w) * dt > room > 0.0:
                dt = max(room / abs(w), 2e-4)
        for _ in range(60):
            found = self.try_step(dt, edges, loads, on_panel, couple, oil, gas)
            if found is None:
                dt *= 0.5
                continue
            p, v, flows = found
            worst = max(abs(q) * dt / self.limit(i, j) for (i, j, _), q in zip(edges, flows))
            gassy = gas > 1e-8
            if gassy.any():
                worst = max(worst, float(np.max(np.abs(np.log(p[gassy] / self.p[gassy])))) / 0.5)
            if worst <= 1.2 or dt < 2e-5:
                break
            dt *= max(0.1, min(0.7, 1.0 / worst))
        else:
            raise Stalled(f"no step found at {self.time:.3f} s")
        self.transport(dt, p, v, edges, flows)
        self.time += dt
        self.motor += dt if motor else 0.0
        return dt, worst

    def try_step(self, dt, edges, loads, on_panel, couple, oil, gas):
        keep, way = list(self.direction), self.turning
        stops, stuck_again = {}, set()
        for _ in range(12):
            held = [stops[m] / dt if m in stops else (None if d else 0.0) for m, d in enumerate(self.direction)]
            found = self.solve(dt, edges, held, loads, on_panel, oil, gas)
            if found is None:
                break
            p, v, _ = found
            changed = self.starts_or_stops(p, edges, stuck_again)
            force = self.grow_matrix.T @ (p - P0) - np.array(loads) - couple @ (np.array(self.x) + dt * v)
            for m, d in enumerate(self.direction):
                to_top, to_bottom = self.top[m] - self.x[m], -self.x[m]
                if m in stops:
                    continue
                if d != 0:
                    if v[m] * d < 0.0:
                        self.direction[m] = 0
                        stuck_again.add(m)
                        changed = True
                    elif v[m] * dt > to_top or v[m] * dt < to_bottom:
                        stops[m] = to_top if d > 0 else to_bottom
                        changed = True
                elif m not in stuck_again and abs(force[m]) > self.friction(m)[0] + 1e-6:
                    d = 1 if force[m] > 0.0 else -1
                    if (d > 0 and to_top > 1e-12) or (d < 0 and to_bottom < -1e-12):
                        self.direction[m] = d
                        changed = True
            if not changed:
                for m in stops:
                    self.direction[m] = 0
                return found
        self.direction, self.turning = keep, way
        return None

    def transport(self, dt, p, v, edges, flows):
        old, at = self.p, self.index
        self.x = [min(max(x + dt * w, 0.0), t) for x, w, t in zip(self.x, v, self.top)]
        self.p, self.v = p, v
        moves = {}                                     # (donor, receiver, by gears or not) -> volume at the donor
        for (i, j, law), q in zip(edges, flows):
            a, b, gears = ("T" if i < 0 else self.nodes[i]), ("T" if j < 0 else self.nodes[j]), i < 0 or hasattr(law, "section")
            key, dv = ((a, b, gears), q * dt) if q >= 0.0 else ((b, a, gears), -q * dt)
            moves[key] = moves.get(key, 0.0) + dv
        for inner, outer in [("D", "A")] + [(f"M{i}", f"O{i}") for i in range(self.n)]:
            if inner in self.tank:                     # second volume at one pressure: what its geometry asks for
                pk = p[at[outer]]
                m = self.tank[inner].m
                need = self.own_geometry(inner) - m[0] * self.v_oil(pk) - m[1:].sum() * P0 / pk
                moves[(outer, inner, False) if need > 0.0 else (inner, outer, False)] = abs(need)
        arrivals = []
        through = {k: [0.0, 0.0] for k in self.line}   # in at end 0, out at end 1
        for (a, b, gears), dv in moves.items():
            if a in self.line:
                through[a][0 if b[0] in "OAB" else 1] += -dv if b[0] in "OAB" else dv
            if b in self.line:
                through[b][0 if a[0] in "OAB" else 1] += dv if a[0] in "OAB" else -dv
        for k, (d_in, d_out) in through.items():
            pk = p[at[k]]
            out = self.line[k].advance(d_in, d_out, old[at[k]], pk, self.v_oil(pk), dt, self.air)
            i = k[1:]
            ends = ("B", f"R{i}") if k[0] == "K" else (f"O{i}" if self.rig.divided else "A", f"C{i}")
            for e in (0, 1):
                if out[e].any():
                    arrivals.append((ends[e], k, out[e], False))
        for (a, b, gears), dv in moves.items():
            if a in self.line or dv <= 0.0:
                continue
            if a == "T":
                arrivals.append((b, a, self.suck(dv), gears))
                continue
            k = {"D": "A"}.get(a, a.replace("M", "O"))
            pk = p[at[k]]
            kind = self.port(a) if a[0] in "CR" else ("high", 0.0) if a[0] in "DM" else ("mixed", 0.0)
            if a[0] in "CR" and b[0] in "CR":
                kind = ("low", 0.0)
            arrivals.append((b, a, self.tank[a].draw(dv, pk, self.v_oil(pk), kind), gears))
        for b, a, what, gears in arrivals:
            if self.opt["shred"]:
                what = self.shred(a, b, what, dt, gears)
            if b == "T":
                self.return_oil(what, dt)
            elif b in self.line:
                self.line[b].put(1 if a[0] in "CR" else 0, what, p[at[b]], self.air)
            else:
                if self.opt["passages_disperse"] and b[0] in "PABO":
                    what = np.array([what[0], 0.0, what[1] + what[2], what[3]])
                self.tank[b].put(what)
        if self.opt["rise"]:
            self.rise(dt)

    def own_geometry(self, inner):
        s = self.rig.synchroniser
        if inner == "D":
            return s["clearance_m3"] + self.drive_m2 * self.x[-1]
        return s["clearance_m3"] + self.rig.branches[int(inner[1:])]["cap_m2"] * (self.top[-1] - self.x[-1])

    def rise(self, dt):
        wide = {"D": self.drive_m2} if self.rig.metering else {}
        for i, b in enumerate(self.rig.branches):
            wide.update({f"C{i}": b["cap_m2"], f"R{i}": b["ring_m2"], f"M{i}": b["cap_m2"]})
        for k, area in wide.items():
            if k not in self.tank or not self.tank[k].m[2:].any():
                continue
            pk = self.p[self.index[{"D": "A"}.get(k, k.replace("M", "O"))]]
            if k[0] in "CR" and self.rig.branches[int(k[1:])]["attitude"] == "level":
                area = self.rig.branches[int(k[1:])]["bore_m"] * self.geometry(k) / area
            self.tank[k].rise(dt, pk, area, self.v_oil(pk), self.speeds(pk), FROTH)
        self.rest(dt)

    def rest(self, dt):
        """Slower than its finest bubbles rise through its area, what passes the reservoir does not keep them from rising:
        then a clear front rises with them."""
        up = np.array(self.speeds(P0))
        stirred, self.passing = self.passing > up[1] * self.rig.reservoir["area_m2"] * dt, 0.0
        if stirred or self.still_s == 0.0:
            self.still_s, self.still_m3 = 0.0, self.pool[2:].copy()
        if stirred or not self.pool[2:].any():
            return
        self.still_s += dt
        height = (self.rig.reservoir["oil_m3"] + self.pool.sum()) / self.rig.reservoir["area_m2"]
        stays = np.minimum(self.pool[2:], self.still_m3 * np.maximum(0.0, 1.0 - up * self.still_s / height))
        self.vented += (self.pool[2:] - stays).sum()
        self.pool[2:] = stays

    def return_oil(self, what, dt):
        """Slugs leave at the surface; bubbles by min(1, U A / Q)."""
        self.vented += what[1]
        self.passing += what.sum()
        stay = np.zeros(2)
        if self.opt["reservoir_keeps_bubbles"] and what[2:].any():
            q = max((what.sum() - what[1]) / dt, 1e-12)          # of the mixture
            stay = what[2:] * (1.0 - np.minimum(1.0, np.array(self.speeds(P0)) * self.rig.reservoir["area_m2"] / q))
        self.vented += what[2:].sum() - stay.sum()
        self.pool[0] += what[0]
        self.pool[2:] += stay

    def suck(self, dv):
        """The pump meters volume, bubbles included."""
        there = np.array([self.rig.reservoir["oil_m3"], 0.0, 0.0, 0.0]) + self.pool
        self.passing += dv
        out = there * min(1.0, dv / there.sum())
        self.pool -= out
        return out

    def air_by_place(self):
        out = {k: t.m[1:].sum() for k, t in self.tank.items()}
        out.update({k: line.gas() for k, line in self.line.items()})
        return out

    def books(self):
        gas = sum(self.air_by_place().values()) + self.vented + self.pool[2:].sum()
        oil = sum(t.m[0] for t in self.tank.values()) + sum(line.oil for line in self.line.values()) + self.pool[0]
        return oil, gas

"""Laws of the second model: oil, restrictions, lines, pump, friction, coupling, port of a chamber."""

import math

import numpy as np

from second_model_transport import G, P0, bubble_size, rise_speed

MU_AIR = 1.82e-5               # Pa s at 20 deg C, from memory
MOST_GAS = 0.999               # upstream share of gas from which a restriction passes no faster
CD = 0.62                      # sharp edge; from memory (Merritt 1967)


def choking():
    """Drop, as a share of the pressure upstream, that gives the greatest flux by the density upstream, against the void
    there: G^2/(2 p rho) = [-w ln r + (1 - w)(1 - r)]/(w (1/r - 1) + 1)^2, greatest over r (homogeneous, isothermal;
    Leung 1986, from memory)."""
    w, r = np.linspace(0.0, 1.0, 201), np.linspace(1e-4, 1.0, 20001)
    return w, np.array([np.max((-z * np.log(r) + (1.0 - z) * (1.0 - r)) / (z * (1.0 / r - 1.0) + 1.0) ** 2) for z in w])


VOID, CHOKES = choking()


class Laws:
    """On a circuit's rig, options and state."""

    def v_oil(self, p):
        o = self.rig.oil
        return 1.0 - (p - P0) / (o["k0"] + o["modulus_slope"] * (p - P0))

    def orifice(self, area, i=-1, j=-1):
        """Viscous part in series with the square law; the latter at the density of the mixture that stands upstream
        (place i if dp >= 0, else j; -1: oil), the former always at the oil's viscosity."""
        rho, nu = self.rig.oil["rho"], self.rig.oil["nu"]
        d = math.sqrt(4.0 * area / math.pi)
        dpt = 0.5 * rho * (self.rig.valve_block["transition_re"] * nu / (CD * d)) ** 2
        c = CD * area * math.sqrt(2.0 / rho)
        if self.opt["orifice"] == "fourth_root":
            def fourth_root(dp):
                s = (dp * dp + dpt * dpt) ** 0.25
                return c * dp / s, c / s * (1.0 - 0.5 * dp * dp / (dp * dp + dpt * dpt))
            return fourth_root
        void = [self.void(k) if self.opt["mixture"] else 0.0 for k in (i, j)]
        ease = [1.0 / math.sqrt(1.0 - min(MOST_GAS, w)) for w in void]
        most = [np.interp(w, VOID, CHOKES) * self.p[k] if w > 0.0 else np.inf for k, w in zip((i, j), void)]

        def series(dp):                                # Borutzky, Barnard, Thoma 2002 (from memory)
            k, chokes = (ease[0], most[0]) if dp >= 0.0 else (ease[1], most[1])
            if abs(dp) > chokes:
                return series(math.copysign(chokes, dp))[0], 0.0
            a = 0.5 * math.sqrt(dpt) * k
            root = math.sqrt(a * a + abs(dp))
            return k * c * dp / (root + a), 0.5 * k * c / root
        return series

    def void(self, k):
        """Share of gas by volume in the passage of node k, at its pressure."""
        if k < 0 or self.nodes[k] not in self.tank:
            return 0.0
        m, p = self.tank[self.nodes[k]].m, self.p[k]
        gas = m[1:].sum() * P0 / p
        return gas / max(gas + m[0] * self.v_oil(p), 1e-30)

    def half_line(self, k, far):
        """Half of a line: Hagen-Poiseuille and minor losses on its oil. Bubbles thicken it (Hayward 1961, from memory);
        a slug hardly resists. Adds the weight of the half's column to the pressure at its end near the valve block."""
        line = self.line[k]
        slug, bubbles = line.gas_shares(far, self.p[self.index[k]], self.v_oil(self.p[self.index[k]]))
        thick = max(0.03, (1.0 - slug) * (1.0 + 1.5 * bubbles) + slug * MU_AIR / self.rig.oil["mu"])
        heavy = min(max(1e-3, (1.0 - slug) * (1.0 - bubbles)), thick * thick)
        r, m = 0.5 * line.ohm * thick, 0.5 * line.loss * heavy
        head = -self.rig.oil["rho"] * G * 0.5 * line.climb_m * (1.0 - slug) if self.opt["heads"] else 0.0

        def flow(dp):
            dp = dp + head
            root = math.sqrt(r * r + 4.0 * m * abs(dp))
            return 2.0 * dp / (r + root), 1.0 / root
        return flow

    def edges(self, valve, motor, bypass):
        """(from, to, flow law); index -1 is the reservoir."""
        at, block, out = self.index, self.rig.valve_block, []
        a, b = self.rig.pump_line()

        def pump(dp):                                  # dp = reservoir less P
            q = a + b * dp
            return (q, b) if motor and q > 0.0 else (0.0, 0.0)

        def relief(dp):
            over = dp - block["relief_pa_gauge"]
            gain = block["relief_gain_m3_per_s_pa"]
            return (gain * over, gain) if over > 0.0 else (0.0, 0.0)
        out += [(-1, at["P"], pump), (at["P"], -1, relief)]
        area, low = block["path_area_m2"], block["lowering_area_m2"]
        for end, other, opening in ((("P", "A", area), ("B", None, area)) if valve == "extend" else
                                    (("P", "B", area), ("A", None, low))):
            i, j = at[end], at.get(other, -1)
            out.append((i, j, self.orifice(opening, i, j)))
        for i, br in enumerate(self.rig.branches):
            (cap, cap_far), (rod, rod_far) = ([self.half_line(f"{k}{i}", far) for far in (False, True)] for k in "LK")
            root = at[f"O{i}"] if self.rig.divided else at["A"]
            if self.rig.divided and bypass == "open":
                out.append((at["A"], root, self.orifice(self.rig.synchroniser["bypass_area_m2"], at["A"], root)))
            if self.rig.rotary:
                out += self.section(i, at["A"], root)
            if self.rig.metering:
                self.leak(out, at["A"], root, self.rig.synchroniser["leak_m3_per_s_pa"])
            out += [(root, at[f"L{i}"], cap), (at[f"L{i}"], at[f"C{i}"], cap_far),
                    (at["B"], at[f"K{i}"], rod), (at[f"K{i}"], at[f"R{i}"], rod_far)]
            self.leak(out, at[f"C{i}"], at[f"R{i}"], br["leak_m3_per_s_pa"])
        return out

    def leak(self, out, i, j, k):
        if self.opt["leak"] and k > 0.0:
            out.append((i, j, lambda dp: (k * dp, k)))

    def friction(self, m):
        """Breakaway force, running force, viscous coefficient of mover m."""
        part = self.rig.branches[m] if m < self.n else self.rig.synchroniser
        area = part["cap_m2"] if m < self.n else self.drive_m2
        f = part["breakaway_pa_diff"] * area if self.opt["friction"] else 0.0
        return f, f * part["running_share"], part["viscous_n_s_per_m"]

    def speeds(self, p):
        """Rise of coarse and fine bubbles."""
        return [rise_speed(bubble_size(d, p), self.rig.oil["nu"]) for d in (self.air["coarse_m"], self.air["fine_m"])]

    def opening(self, ends):
        """Area of the restriction between two places, by the letters of both; None: no restriction."""
        if ends in ("AO", "OA"):
            return self.rig.synchroniser["bypass_area_m2"]
        if ends in ("PA", "AP", "PB", "BP", "BT"):
            return self.rig.valve_block["path_area_m2"]
        return self.rig.valve_block["lowering_area_m2"] if ends == "AT" else None

    def largest_bubble(self, rate):
        """Diameter that survives a stretching flow of a rate [1/s]: 2 Ca_c sigma/(mu G), Ca_c = 0.148 lambda^(-1/6)
        (Acrivos and Lo 1978, from memory)."""
        mu = self.rig.oil["mu"]
        return 2.0 * 0.148 * (MU_AIR / mu) ** (-1.0 / 6.0) * self.air["sigma"] / (mu * max(rate, 1e-9))

    def shred(self, a, b, what, dt, gears=False):
        """Gears: their share; restriction: what is larger than a stretching flow v/d leaves whole."""
        if not what[1:3].any():
            return what
        if gears:
            share = self.rig.air["shredding"]
            torn = share * what[1:3]
            return what + np.array([0.0, -torn[0], -torn[1], torn.sum()])
        area = self.opening(a[0] + b[0])
        if area is None:
            return what
        p = self.p[self.index[a]]
        q = (what[0] * self.v_oil(p) + what[1:].sum() * P0 / p) / dt
        if bubble_size(self.air["coarse_m"], p) > self.largest_bubble(q / area / math.sqrt(4.0 * area / math.pi)):
            what = np.array([what[0], what[1], 0.0, what[2:].sum()])
        return what

    def coupling_matrix(self, on_panel, mv):
        c, k = np.zeros((mv, mv)), self.rig.panel["torsion_n_m_per_rad"] / self.rig.panel["spacing_m"] ** 2
        if on_panel and k > 0.0:
            for i in range(self.n - 1):
                c[i, i] += k
                c[i + 1, i + 1] += k
                c[i, i + 1] -= k
                c[i + 1, i] -= k
        return c

    def port(self, k):
        """Chamber's opening against its pocket: kind and the volume it cannot reach."""
        i, side = int(k[1:]), k[0]
        b = self.rig.branches[i]
        h, area = (b["cap_port_m"], b["cap_m2"]) if side == "C" else (b["rod_port_m"], b["ring_m2"])
        if b["attitude"] == "level":
            r = 0.5 * b["bore_m"]
            seg = r * r * math.acos(max(-1.0, 1.0 - h / r)) - (r - h) * math.sqrt(max(0.0, 2.0 * r * h - h * h))
            return "high", seg * self.geometry(k) / area
        return ("high" if (b["attitude"] == "rod_down") == (side == "C") else "low"), h * area

    def limit(self, i, j):
        """Largest volume through an edge in one step: the quantum (twice at the block) or half a passage."""
        names = [self.nodes[k] for k in (i, j) if k >= 0]
        q = self.opt["quantum_m3"]
        return min([2.0 * q if names[0] in "PAB" and names[-1] in "PAB" else q]
                   + [0.5 * self.tank[k].m.sum() for k in names if k in "PAB" and k in self.tank])

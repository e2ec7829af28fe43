"""Laws of the second model: oil, restrictions, lines, pump, friction, coupling, port of a chamber."""

import math

import numpy as np

from second_model_transport import P0, bubble_size, rise_speed

CD = 0.62                      # sharp edge; from memory (Merritt 1967)


class Laws:
    """On a circuit's rig, options and state."""

    def v_oil(self, p):
        o = self.rig.oil
        return 1.0 - (p - P0) / (o["k0"] + o["modulus_slope"] * (p - P0))

    def orifice(self, area):
        rho, nu = self.rig.oil["rho"], self.rig.oil["nu"]
        d = math.sqrt(4.0 * area / math.pi)
        dpt = 0.5 * rho * (self.rig.valve_block["transition_re"] * nu / (CD * d)) ** 2
        c = CD * area * math.sqrt(2.0 / rho)

        def fourth_root(dp):
            s = (dp * dp + dpt * dpt) ** 0.25
            return c * dp / s, c / s * (1.0 - 0.5 * dp * dp / (dp * dp + dpt * dpt))

        def square_root(dp):                           # Borutzky, Barnard, Thoma 2002 (from memory)
            a = 0.5 * math.sqrt(dpt)
            root = math.sqrt(a * a + abs(dp))
            return c * dp / (root + a), 0.5 * c / root
        return fourth_root if self.opt["orifice"] == "fourth_root" else square_root

    def half_line(self, k):
        line = self.line[k]
        share = max(1e-3, line.oil / line.volume) if self.opt["gas_free_lines"] else 1.0
        r, m = 0.5 * line.ohm * share, 0.5 * line.loss * share

        def flow(dp):
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
        path, low = self.orifice(block["path_area_m2"]), self.orifice(block["lowering_area_m2"])
        out += [(-1, at["P"], pump), (at["P"], -1, relief)]
        out += [(at["P"], at["A"], path), (at["B"], -1, path)] if valve == "extend" else \
               [(at["P"], at["B"], path), (at["A"], -1, low)]
        for i, br in enumerate(self.rig.branches):
            top, cap = self.half_line(f"L{i}"), self.half_line(f"K{i}")
            root = at[f"O{i}"] if self.rig.metering else at["A"]
            if self.rig.metering:
                if bypass == "open":
                    out.append((at["A"], root, self.orifice(self.rig.synchroniser["bypass_area_m2"])))
                self.leak(out, at["A"], root, self.rig.synchroniser["leak_m3_per_s_pa"])
            out += [(root, at[f"L{i}"], top), (at[f"L{i}"], at[f"C{i}"], top),
                    (at["B"], at[f"K{i}"], cap), (at[f"K{i}"], at[f"R{i}"], cap)]
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

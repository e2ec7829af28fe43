"""Rotary divider of the second model: the shaft has no state but whether it turns, and which way. Its speed stands in the
balance of the pressures as a straight line in them, and is solved with them."""

import numpy as np

from second_model_laws import MU_AIR

EMPTY_PA, FED_PA = 1000.0, 1e4         # a section's inlet at which nothing is left to meter; so much above it fills


class RotaryDivider:
    """On a circuit's rig, state and laws."""

    def section(self, i, inlet, outlet):
        """Edges of a branch: the section, here with its slip only (its turning is added by `turn`), and a relief valve."""
        s, out = self.rig.synchroniser, []
        displacement = s["section_m3_per_rad"] * (1.0 + self.rig.branches[i]["dividing_error"])
        k = s["section_slip"] * displacement / self.rig.oil["mu"]
        thin = {}                                      # what is in the gaps came from upstream

        def slip(dp):
            way = self.turning or (1 if dp >= 0.0 else -1)
            if way not in thin:
                void = self.void(inlet if way > 0 else outlet)
                thin[way] = self.rig.oil["mu"] / (void * MU_AIR + (1.0 - void) * self.rig.oil["mu"])
            return thin[way] * k * dp, thin[way] * k
        slip.section = displacement
        out.append((inlet, outlet, slip))
        if s["outlet_relief_pa_gauge"] > 0.0:
            gain = self.rig.valve_block["relief_gain_m3_per_s_pa"]

            def relief(dp):
                over = dp - s["outlet_relief_pa_gauge"]
                return (gain * over, gain) if over > 0.0 else (0.0, 0.0)
            out.append((outlet, -1, relief))
        return out

    def torque(self, p, edges):
        """Of the pressures on the shaft [N m]."""
        return sum(law.section * (p[i] - p[j]) for i, j, law in edges if hasattr(law, "section"))

    def speed(self, p, edges):
        """T - T_f sgn(w) = B w, for the way it is taken to turn."""
        s = self.rig.synchroniser
        return (self.torque(p, edges) - self.turning * s["shaft_torque_n_m"]) / s["shaft_drag_n_m_s"]

    def turn(self, dt, p, edges, flows, res, jac):
        """What the turning shaft meters, into flows, volume balances and their slopes."""
        w, drag = self.speed(p, edges), self.rig.synchroniser["shaft_drag_n_m_s"]
        sections = [(e, i, j, law.section) for e, (i, j, law) in enumerate(edges) if hasattr(law, "section")]
        faster = np.zeros(len(jac))                    # of the shaft, per pressure
        for _, i, j, d in sections:
            faster[i] += d / drag
            faster[j] -= d / drag
        for e, i, j, d in sections:
            donor = i if w >= 0.0 else j
            fed = (p[donor] - EMPTY_PA) / FED_PA       # no oil is metered out of a void
            share, slope = (min(1.0, max(0.0, fed)), 1.0 / FED_PA if 0.0 < fed < 1.0 else 0.0)
            q, grad = share * d * w, share * d * faster
            grad[donor] += slope * d * w
            flows[e] += q
            res[i] -= dt * q
            res[j] += dt * q
            jac[i] -= dt * grad
            jac[j] += dt * grad

    def starts_or_stops(self, p, edges, stuck_again):
        """Whether pressures just found do not fit the way the shaft was taken to turn; then it is taken otherwise."""
        if not self.rig.rotary:
            return False
        s = self.rig.synchroniser
        if self.turning and self.speed(p, edges) * self.turning < 0.0:
            self.turning = 0
            stuck_again.add("shaft")
            return True
        torque = self.torque(p, edges)
        if not self.turning and "shaft" not in stuck_again and abs(torque) > s["shaft_torque_n_m"] * s["shaft_breakaway"]:
            self.turning = 1 if torque > 0.0 else -1
            return True
        return False

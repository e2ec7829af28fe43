"""The flow equations of a frozen segment once more, in Python that numba can compile."""

import numba
import numpy as np

P0, P_TOP, LAMINAR_RE = 101325.0, 2e8, 1400.0
PUMP, RELIEF, ORIFICE, LINE, LEAK, COUNTERBALANCE, SEAL = range(7)   # EdgeKind
PLACE = ("oil", "gas", "wall", "volume", "place_axis", "place_slope")
EDGE = ("kind", "edge_from", "edge_to", "gate", "ratio", "head", "density", "viscosity", "choke_from", "choke_to", "slip",
        "low", "high", "inertia")
AXIS = ("motion", "position", "viscous", "fixed", "running")
ALL = ("p_floor", "k0", "k_slope", "on_panel", "coupling", "branches")


def make(jit):
    """rhs(y, data) and jacobian(y, data), every function passed through `jit`."""

    @jit
    def pressure(oil, gas, wall, available, floor, k0, a):
        spare, soft = available - oil, oil + wall * k0
        k_zero, lead = k0 - a * P0, spare * a + soft
        if lead < 0 or spare + lead <= 0:
            p = 2 * P_TOP
        else:
            b = spare * k_zero - soft * P0 - gas * a
            root = np.sqrt(b * b + 4 * lead * gas * k_zero)
            p = 2 * gas * k_zero / (b + root) if b > 0 else (root - b) / (2 * lead)
        if p > P_TOP:
            q = k0 + a * (P_TOP - P0)
            excess = oil * (1 - (P_TOP - P0) / q) + gas / P_TOP - available - wall * (P_TOP - P0)
            give = gas / (P_TOP * P_TOP) + oil * k0 / (q * q) + wall
            if give <= 0:
                return P_TOP, 0.0
            if excess >= 0:
                return P_TOP + excess / give, -1 / give
            p = P_TOP
        if wall > 0:
            for _ in range(40):
                if p <= floor:
                    break
                x = p - P0
                q = k0 + a * x
                d = spare + wall * x
                inner, inner1 = q * d + oil * x, a * d + q * wall + oil
                n, n1, n2 = inner * p - gas * q, inner1 * p + inner - gas * a, 2 * (a * wall * p + inner1)
                step = 2 * n * n1 / (2 * n1 * n1 - n * n2)
                p = p - step
                if abs(step) <= 1e-5 * p:
                    break
        if p <= floor:
            return floor, 0.0
        q = k0 + a * (p - P0)
        return p, -q * q * (p * p) / (gas * (q * q) + (oil * k0 + wall * (q * q)) * (p * p))

    @jit
    def ramp(x, width):
        half = width / 2
        if x <= -half:
            return 0.0, 0.0
        if x >= half:
            return x, 1.0
        into = x + half
        return into * into / (2 * width), into / width

    @jit
    def orifice(laminar, turbulent, up, down, choke):
        """q, dq/dp_up, dq/dp_down for up >= down"""
        if choke > 0:
            share = 1 - choke
            limit = share * up
            if limit > 0:
                spare, slope = ramp(limit - (up - down), 0.1 * limit)
                by_width = slope * (1 - slope) / 2
                dp, d_up, d_down = limit - spare, share + slope * choke - 0.1 * share * by_width, -slope
            else:
                dp, d_up, d_down = 0.0, 0.0, 0.0
        else:
            dp, d_up, d_down = up - down, 1.0, -1.0
        root = np.sqrt(laminar * laminar + 4 * turbulent * dp)
        return 2 * dp / (laminar + root), d_up / root, d_down / root

    @jit
    def drop(resistance, minor, re_per_flow, q):
        re = re_per_flow * q
        phi, re_slope = 1.0, 0.0
        if re > LAMINAR_RE:                                       # Churchill, smooth
            viscous = np.exp(0.9 * np.log(7 / re))
            logarithm = -np.log(viscous)
            a, b = (2.457 * logarithm) ** 16, (37530 / re) ** 16
            total = a + b
            w = (re / 8) ** 12 / (total * np.sqrt(total))
            phi = np.exp(np.log(1 + w) / 12)
            re_slope = phi / (1 + w) * w * (1 - 0.125 * (14.4 * a / logarithm - 16 * b) / total)
        return q * (resistance * phi + minor * q), resistance * (phi + re_slope) + 2 * minor * q

    @jit
    def line(resistance, minor, re_per_flow, dp):
        root = np.sqrt(resistance * resistance + 4 * minor * dp)
        q, slope = 2 * dp / (resistance + root), 1 / root
        if re_per_flow * q > LAMINAR_RE:
            low, high = 0.0, q
            for _ in range(100):
                value, steep = drop(resistance, minor, re_per_flow, q)
                if value - dp > 0:
                    high = q
                else:
                    low = q
                after = q - (value - dp) / steep
                if not low <= after <= high:
                    after = (low + high) / 2
                step = after - q
                q = after
                if abs(step) < q * 1e-12:
                    break
            slope = 1 / drop(resistance, minor, re_per_flow, q)[1]
        return q, slope

    @jit
    def edge_flow(kind, law, start, end, density, viscosity, choke_from, choke_to, slip, low, high):
        """q, dq/dp_from, dq/dp_to"""
        if kind == PUMP:
            q_slope = law[1] + (slip - 1) * law[3]
            y, slope = ramp(law[0] - q_slope * (end - start), law[2])
            return y, slope * q_slope, -slope * q_slope
        if kind == RELIEF or kind == SEAL:
            y, slope = ramp(start - end - law[0], law[2])
            return law[1] * y, law[1] * slope, -law[1] * slope
        if kind == ORIFICE:
            if law[1] <= 0:
                return 0.0, 0.0, 0.0
            if start >= end:
                return orifice(law[0] * viscosity, law[1] * density, start, end, choke_from)
            q, up, down = orifice(law[0] * viscosity, law[1] * density, end, start, choke_to)
            return -q, -down, -up
        if kind == LINE:
            drive = start - end
            if low < drive < high:
                return 0.0, 0.0, 0.0
            drive = (start - (low if drive <= low else high)) - end
            q, slope = line(law[0] * viscosity, law[1] * density, law[2] * density / viscosity, abs(drive))
            return (q if drive >= 0 else -q), slope, -slope
        return law[0] * (start - end), law[0], -law[0]            # LEAK

    @jit
    def evaluate(y, place, edge, law, axis, weight, common):
        """slopes of pressures, edge flows and their slopes, axis speeds, what sets lines going"""
        n, m, k = place.shape[1], edge.shape[1], axis.shape[1]
        room, p, dp_dv = np.empty(n), np.empty(n), np.empty(n)
        for i in range(n):
            a = int(place[4, i])
            room[i] = place[3, i] + (place[5, i] * y[m + a] if a >= 0 else 0.0)
        for e in range(m):
            if edge[1, e] >= 0:
                room[int(edge[1, e])] += y[e]
            if edge[2, e] >= 0:
                room[int(edge[2, e])] -= edge[4, e] * y[e]
        for i in range(n):
            p[i], dp_dv[i] = pressure(place[0, i], place[1, i], place[2, i], room[i], common[0], common[1], common[2])
        flow, going = np.zeros((3, m)), np.zeros((3, m))          # going: rate of a line's flow, its slopes by flow and drive
        inert = 0
        for e in range(m):
            gate = edge[3, e]
            if edge[13, e] > 0:
                across = (p[int(edge[1, e])] if edge[1, e] >= 0 else P0) + edge[5, e] - (p[int(edge[2, e])] if edge[2, e] >= 0 else P0)
                q = y[m + k + 1 + inert]
                inert += 1
                held = edge[11, e] < across < edge[12, e]
                drive = 0.0 if held else across - (edge[11, e] if across <= edge[11, e] else edge[12, e])
                lost, steep = drop(law[e, 0] * edge[7, e], law[e, 1] * edge[6, e], law[e, 2] * edge[6, e] / edge[7, e], abs(q))
                flow[0, e] = q
                going[0, e] = (drive - (lost if q >= 0 else -lost)) / edge[13, e]
                going[1, e], going[2, e] = -steep / edge[13, e], 0.0 if held else 1 / edge[13, e]
            elif gate != 0:
                start = (p[int(edge[1, e])] if edge[1, e] >= 0 else P0) + edge[5, e]
                end = p[int(edge[2, e])] if edge[2, e] >= 0 else P0
                q, d_from, d_to = edge_flow(int(edge[0, e]), law[e], start, end, edge[6, e], edge[7, e], edge[8, e], edge[9, e],
                                            edge[10, e], edge[11, e], edge[12, e])
                flow[0, e], flow[1, e], flow[2, e] = gate * q, gate * d_from, gate * d_to
        force = -axis[3]
        if common[3] > 0:
            rods = int(common[5])
            for i in range(rods):
                load = weight[i]
                for j in range(rods):
                    load += common[4] * ((axis[1, i] + y[m + i]) - (axis[1, j] + y[m + j]))
                force[i] -= load
        for i in range(n):
            if place[4, i] >= 0:
                force[int(place[4, i])] += place[5, i] * p[i]
        speed = np.empty(k)
        for a in range(k):
            speed[a] = abs(axis[0, a]) * (force[a] - axis[0, a] * axis[4, a]) / axis[2, a]
        return dp_dv, flow, speed, going

    @jit
    def rhs(y, place, edge, law, axis, weight, common):
        _, flow, speed, going = evaluate(y, place, edge, law, axis, weight, common)
        m, k = edge.shape[1], axis.shape[1]
        f = np.empty(len(y))
        f[:m], f[m:m + k], f[m + k] = flow[0], speed, 1.0
        inert = m + k
        for e in range(m):
            if edge[13, e] > 0:
                inert += 1
                f[inert] = going[0, e]
        return f

    @jit
    def jacobian(y, place, edge, law, axis, weight, common):
        dp_dv, flow, _, going = evaluate(y, place, edge, law, axis, weight, common)
        n, m, k = place.shape[1], edge.shape[1], axis.shape[1]
        rate, room = np.zeros((n, len(y))), np.zeros((n, len(y)))   # of every state by pressure; of pressure by state
        inert = m + k
        for e in range(m):
            if edge[13, e] > 0:
                inert += 1
                if edge[1, e] >= 0:
                    rate[int(edge[1, e]), inert] += going[2, e]
                if edge[2, e] >= 0:
                    rate[int(edge[2, e]), inert] -= going[2, e]
            if edge[1, e] >= 0:
                rate[int(edge[1, e]), e] += flow[1, e]
                room[int(edge[1, e]), e] += dp_dv[int(edge[1, e])]
            if edge[2, e] >= 0:
                rate[int(edge[2, e]), e] += flow[2, e]
                room[int(edge[2, e]), e] -= edge[4, e] * dp_dv[int(edge[2, e])]
        for i in range(n):
            if place[4, i] >= 0:
                a = int(place[4, i])
                rate[i, m + a] += abs(axis[0, a]) * place[5, i] / axis[2, a]
                room[i, m + a] += place[5, i] * dp_dv[i]
        full = rate.T @ room
        inert = m + k
        for e in range(m):
            if edge[13, e] > 0:
                inert += 1
                full[e, inert] += 1.0
                full[inert, inert] += going[1, e]
        if common[3] > 0:
            rods = int(common[5])
            for i in range(rods):
                for j in range(rods):
                    share = -(rods - 1) if i == j else 1.0
                    full[m + i, m + j] += abs(axis[0, i]) * share * common[4] / axis[2, i]
        return full

    return rhs, jacobian


PLAIN, COMPILED = make(lambda f: f), make(numba.njit)

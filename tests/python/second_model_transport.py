"""Air by particles: what stands in a chamber, a passage or a line, and what leaves through their openings.

Amounts are volumes at P0 and the run's temperature [m3]; three kinds of gas: segregated (pocket, slug piece), coarse
and fine bubbles. A line is a row of particles on an OIL coordinate q: the oil between the valve block's end and the
particle. A particle that rides with the mean flow keeps its q when gas elsewhere in the line swells or shrinks.
"""

import numpy as np

P0 = 101325.0
G = 9.80665
GAS, COARSE, FINE = 0, 1, 2
STATE = ("q", "amount", "x", "z", "kind")
DUST_M3 = 1e-13            # less than this of bubbles stays where it is
BINS = 100                 # of a line, for the gas around a bubble
CROWDING = 4.65
RATIO_CAP = 2.5            # film limit 0.60 of the bore (Cox 1962, from memory)


def slug_ratio_table():
    """Speed of a long bubble over the mean speed against a = mu U / sigma on the MEAN speed U.

    Film h/R = 1.34 Ca^(2/3) / (1 + 3.35 Ca^(2/3)) on the bubble's own speed (Aussillous and Quere 2000),
    k = 1/(1-h/R)^2.
    """
    a = np.logspace(-8, 3, 600)
    k = np.ones_like(a)
    for _ in range(300):
        c = (a * k) ** (2.0 / 3.0)
        k = np.minimum(RATIO_CAP, (1.0 - 1.34 * c / (1.0 + 3.35 * c)) ** -2)
    return np.log(a), k


LOG_A, K_OF_A = slug_ratio_table()


def slug_speed_ratio(a):
    return np.interp(np.log(np.maximum(a, 1e-8)), LOG_A, K_OF_A)


def rise_speed(d_m, nu, drho_over_rho=1.0):
    """Single sphere with immobile surface, Schiller-Naumann drag 24/Re (1 + 0.15 Re^0.687); Stokes for small ones."""
    u = G * d_m**2 * drho_over_rho / (18.0 * nu)
    for _ in range(40):
        re = u * d_m / nu
        u = 0.5 * u + 0.5 * G * d_m**2 * drho_over_rho / (18.0 * nu) / (1.0 + 0.15 * re**0.687)
    return u


def bubble_size(d0_m, p):
    return d0_m * (P0 / p) ** (1.0 / 3.0)


def none():
    return np.zeros(4)      # oil, pocket or slug gas, coarse, fine


class Tank:
    """A stirred volume with a pocket on top. `port` is (kind, volume): see draw."""

    def __init__(self, volume, oil=True):
        self.m = none()
        self.m[0 if oil else 1] = volume

    def draw(self, dv, p, v_oil, port=("mixed", 0.0)):
        """Volume dv at pressure p. Ports: mixed; high: gas beyond the trapped volume leaves first; low: gas last."""
        part = np.array([v_oil, P0 / p, P0 / p, P0 / p])
        vol = self.m * part
        liquid = vol[0] + vol[2] + vol[3]
        if port[0] == "mixed":
            take_gas = dv * vol[1] / max(vol[1] + liquid, 1e-30)
        elif port[0] == "high":
            take_gas = min(dv, max(0.0, vol[1] - port[1]))
        else:
            take_gas = dv - min(dv, max(0.0, liquid - port[1]))
        take_gas = min(take_gas, vol[1])
        take_liquid = min(dv - take_gas, liquid)
        take_gas = min(dv - take_liquid, vol[1])
        out = none()
        if liquid > 0.0:
            share = take_liquid / liquid
            out[[0, 2, 3]] = self.m[[0, 2, 3]] * share
            out[2:][out[2:] < DUST_M3] = 0.0
        if vol[1] > 0.0:
            out[1] = self.m[1] * take_gas / vol[1]
        self.m -= out
        return out

    def put(self, what):
        self.m += what

    def rise(self, dt, p, area, v_oil, speeds, froth):
        """Bubbles to the pocket: those that the oil does not keep apart at once, the others at the rate U A / V of each
        class (lumped, well stirred); crowded ones by Richardson and Zaki 1954 (from memory), up to half gas."""
        volume, bubbles = self.m[0] * v_oil, self.m[2:].sum() * P0 / p
        keeps = volume * froth / (1.0 - froth)
        if bubbles > keeps:
            stay = self.m[2:] * keeps / bubbles
            self.m[1] += self.m[2:].sum() - stay.sum()
            self.m[2:], bubbles = stay, keeps
        share = min(0.5, bubbles / max(volume + bubbles, 1e-30))
        for kind, speed in ((2, speeds[0]), (3, speeds[1])):
            if self.m[kind] > 0.0 and speed > 0.0:
                u = speed * (1.0 - share) ** CROWDING
                up = self.m[kind] * (1.0 - np.exp(-u * area / max(volume, 1e-12) * dt))
                self.m[kind] -= up
                self.m[1] += up


class Line:
    def __init__(self, bore, length, piece, seed):
        self.bore, self.area = bore, 0.25 * np.pi * bore**2
        self.volume = self.area * length
        self.oil = self.volume
        self.q, self.amount = np.zeros(0), np.zeros(0)
        self.x, self.z = np.zeros(0), np.zeros(0)      # across the bore, over R - d/2: level, upright
        self.kind = np.zeros(0, dtype=int)
        self.piece, self.count = piece, seed

    def gas(self):
        return float(self.amount.sum())

    def of_kind(self, kind):
        return float(self.amount[self.kind == kind].sum())

    def radial(self, n, d_over_bore, flux_weighted):
        """Area shares y in 0..1 of the disc of radius R - d/2, from a low-discrepancy row of numbers."""
        u = (0.5 + (self.count + np.arange(n)) * 0.6180339887498949) % 1.0
        self.count += n
        if not flux_weighted:
            return u
        c = (1.0 - d_over_bore) ** 2
        return (1.0 - np.sqrt(1.0 - 2.0 * c * u * (1.0 - 0.5 * c))) / c

    def own_speed(self, x, z, d):
        """Of a bubble over the mean flow: the laminar profile at its centre."""
        return 2.0 * (1.0 - (x**2 + z**2) * (1.0 - min(0.9, d / self.bore)) ** 2)

    def cross(self, n, d_over_bore, flux_weighted):
        """Places across the bore: by area, or by what flows through it."""
        y = self.radial(n, d_over_bore, flux_weighted)
        angle = 2.0 * np.pi * ((self.count + np.arange(n)) * 0.7548776662466927 % 1.0)
        return np.sqrt(y) * np.cos(angle), np.sqrt(y) * np.sin(angle)

    def add(self, q, amount, kind, cross, first=False):
        new = (q, amount, *cross, np.full(len(q), kind))
        for name, z in zip(STATE, new):                # what comes in first stays first: stable sort keeps it so
            old = getattr(self, name)
            setattr(self, name, np.concatenate([z, old] if first else [old, z]))
        self.pick(np.argsort(self.q, kind="stable"))

    def pick(self, which):
        for name in STATE:
            setattr(self, name, getattr(self, name)[which])

    def put(self, end, what, p, air):
        """What comes in at an end (0 valve block, 1 cylinder); gas spread evenly over the oil it came with."""
        oil = what[0]
        if end == 0:
            self.q += oil
        lo = 0.0 if end == 0 else self.oil
        self.oil += oil
        froth, keeps = what[2:].sum() * P0 / p, oil * air["froth"] / (1.0 - air["froth"])
        if froth > keeps:                              # oil keeps so many bubbles apart; the others run together
            stay = what[2:] * keeps / froth
            what = np.array([oil, what[1:].sum() - stay.sum(), *stay])
        for kind in (GAS, COARSE, FINE):
            amount = what[1 + kind]
            if amount <= 0.0:
                continue
            if kind == GAS:
                n = max(1, int(np.ceil(amount * P0 / p / self.piece)))
                cross = np.zeros(n), np.zeros(n)
            else:
                n = air["particles"]
                d = bubble_size(air["fine_m"] if kind == FINE else air["coarse_m"], p)
                cross = self.cross(n, min(0.9, d / self.bore), True)
            part = (np.arange(n) + 0.5) / n
            if kind != GAS and air["profile"]:         # each comes in at its own speed
                part = (part + self.count * 0.5698402909980532) % 1.0
                part = part * self.own_speed(*cross, d)
            q = np.clip(lo + oil * part if end == 0 else self.oil - oil * part, 0.0, self.oil)
            self.add(q, np.full(n, amount / n), kind, cross, end == 0)

    def cream(self, p, dt, air):
        """Bubbles of a level line rise across the bore and slide along its wall to the top."""
        for kind, d0 in ((COARSE, air["coarse_m"]), (FINE, air["fine_m"])):
            some = self.kind == kind
            if some.any():
                d = min(0.9 * self.bore, bubble_size(d0, p))
                up = rise_speed(d, air["nu"]) * dt / (0.5 * (self.bore - d))
                self.z[some] = np.minimum(self.z[some] + up, np.sqrt(np.maximum(0.0, 1.0 - self.x[some] ** 2)))

    def gas_shares(self, far, p, v_oil):
        """Share of a half that slugs fill, and of the whole line that bubbles fill."""
        if len(self.q) == 0:
            return 0.0, 0.0
        g = self.amount * P0 / p
        whole, slug = self.oil * v_oil + g.sum(), self.kind == GAS
        end = self.q * v_oil + np.cumsum(g)
        lo, hi = (0.5 * whole, whole) if far else (0.0, 0.5 * whole)
        inside = np.maximum(0.0, np.minimum(end, hi) - np.maximum(end - g, lo))
        return min(1.0, inside[slug].sum() / (0.5 * whole)), min(1.0, g[~slug].sum() / whole)

    def sphere(self):
        """Of the bore: less gas than this is a bubble, less oil between two slugs does not part them."""
        return np.pi / 6.0 * self.bore**3

    def slugs(self, p, v_oil):
        """Indices of the pieces of each slug, by place; between two pieces lies no more oil than the thickest film."""
        at = np.flatnonzero(self.kind == GAS)
        if len(at) == 0:
            return []
        g = self.amount[at] * P0 / p
        film = (RATIO_CAP - 1.0) * 0.5 * (g[1:] + g[:-1])
        return np.split(at, np.flatnonzero(np.diff(self.q[at]) * v_oil > self.sphere() + film) + 1)

    def small_slugs(self, p, v_oil):
        """A slug with oil on both sides that is less (at P0) than the sphere of the bore is coarse bubbles."""
        for group in self.slugs(p, v_oil):
            inside = min(self.q[group[0]], self.oil - self.q[group[-1]]) * v_oil > self.sphere()
            if inside and self.amount[group].sum() < self.sphere():
                self.kind[group] = COARSE
                self.x[group], self.z[group] = self.cross(len(group), 0.0, False)

    def leaving(self, end, p, v_oil):
        """Pieces of the slug whose nose is at an end, the tail first, and bubbles in its film. Its gas goes, its film
        stays where it is: so what is missing is missing at its tail."""
        for group in self.slugs(p, v_oil):
            nose = group[0] if end == 0 else group[-1]
            if abs(self.q[nose] - end * self.oil) < 1e-12:
                low, high = self.q[group[0]], self.q[group[-1]]
                return group[::1 if end else -1], (self.kind != GAS) & (self.q >= low) & (self.q <= high)
        return None

    def tails(self, forward, p, v_oil):
        """Of every particle: the piece that ends the next slug before it in the direction of flow; -1: none."""
        last = [g[0] if forward else g[-1] for g in self.slugs(p, v_oil)]
        found = np.full(len(self.q), -1)
        for i in last if not forward else reversed(last):
            found[np.arange(len(self.q)) < i if forward else np.arange(len(self.q)) > i] = i
        found[self.kind == GAS] = -1
        return found

    def led(self, f, flow, p, v_oil):
        """Oil that each particle leaves behind, over the flow at its place. A bubble at f times the mean in a mixture
        of void a, whose bubbles run at F on the mean: f (1 - a) - (1 - a F)."""
        lead = f - 1.0
        some = self.kind != GAS
        if not some.any():
            return lead
        width = max(self.oil / BINS, 1e-30)
        cell = np.minimum((self.q / width).astype(int), BINS - 1)
        gas = np.where(some, self.amount * P0 / p, 0.0)
        there = np.bincount(cell, gas, BINS)
        fast = np.bincount(cell, gas * f, BINS)
        void = there / (there + width * v_oil)
        mean = fast / np.maximum(there, 1e-30)
        lead[some] = (f * (1.0 - void[cell]) - (1.0 - void[cell] * mean[cell]))[some]
        for group in self.slugs(p, v_oil):             # along a slug stands its film
            lead[some & (self.q > self.q[group[0]]) & (self.q < self.q[group[-1]])] = 0.0
        return lead

    def speed_ratio(self, flow, p, dt, air):
        """Of every particle over the mean flow through its own cross-section."""
        f = np.ones_like(self.q)
        slug = self.kind == GAS
        if slug.any():
            if air["ratio"] > 0.0:
                f[slug] = air["ratio"]
            elif air["slip"] > 0.0:
                a = air["mu"] * np.abs(flow[slug]) / dt / self.area / air["sigma"]
                f[slug] = 1.0 + air["slip"] * (slug_speed_ratio(a) - 1.0)
        for kind, d0 in ((COARSE, air["coarse_m"]), (FINE, air["fine_m"])):
            some = self.kind == kind
            if some.any() and air["profile"]:
                f[some] = self.own_speed(self.x[some], self.z[some], bubble_size(d0, p))
        return f

    def advance(self, d_in, d_out, p_old, p, v_oil, dt, air):
        """Moves everything; d_in came in at end 0, d_out left at end 1 (volumes at p; negative: the other way).

        Returns what left at end 0 and at end 1. What comes in is put afterwards by `put`.
        """
        out = [none(), none()]
        n = len(self.q)
        if n == 0:
            out[0][0], out[1][0] = max(0.0, -d_in) / v_oil, max(0.0, d_out) / v_oil
            self.oil -= out[0][0] + out[1][0]
            return out
        grown = self.amount * P0 * (1.0 / p - 1.0 / p_old)
        flow = d_in + np.cumsum(grown) - grown
        f = self.speed_ratio(flow, p, dt, air)
        lead = self.led(f, flow, p, v_oil)
        g = self.amount * P0 / p
        before = np.cumsum(g) - g
        tail = self.tails(d_in + d_out > 0.0, p, v_oil)
        behind = tail >= 0                             # bubbles do not pass a slug from behind
        keep = np.ones(n, dtype=bool)
        for end, dv in ((0, -d_in), (1, d_out)):
            if dv <= 0.0:
                continue
            ahead = self.q * v_oil + before if end == 0 else (self.oil - self.q) * v_oil + g.sum() - before - g
            arrival = ahead / np.maximum(f, 1e-9)
            arrival[behind] = np.maximum(arrival[behind], arrival[tail[behind]])
            found = self.leaving(end, p, v_oil)
            if found is not None:
                arrival[found[0]] = np.arange(len(found[0])) * 1e-30
                lead[found[0]] = 0.0                 # with its nose outside it passes no more oil
                arrival[found[1]] = np.maximum(arrival[found[1]], g[found[0]].sum())
            room, oil_room = dv, self.oil * v_oil
            must = dv - oil_room                     # gas that has to go because there is not enough oil
            gone = 0.0
            if found is not None:                    # what it has swollen by is missing all along it
                share = min(room, max(0.0, grown[found[0]].sum())) / g[found[0]].sum()
                out[end][1] += share * self.amount[found[0]].sum()
                gone = share * g[found[0]].sum()
                room -= gone
                self.amount[found[0]] *= 1.0 - share
                g[found[0]] *= 1.0 - share
            order = np.argsort(arrival, kind="stable")
            for i in order:
                if not keep[i]:
                    continue
                if (arrival[i] >= dv and gone >= must) or room <= 1e-18:
                    break
                share = min(1.0, room / g[i]) if g[i] > 0.0 else 1.0
                out[end][1 + self.kind[i]] += self.amount[i] * share
                gone += g[i] * share
                room -= g[i] * share
                if share >= 1.0:
                    keep[i] = False
                else:
                    self.amount[i] *= 1.0 - share
                    g[i] *= 1.0 - share
            oil = min(room, oil_room) / v_oil
            out[end][0] = oil
            if end == 0:
                self.q -= oil
            self.oil -= oil
        q = self.q + lead * flow / v_oil
        bound = np.minimum if d_in + d_out > 0.0 else np.maximum
        q[behind] = bound(q[behind], q[tail[behind]])
        self.q = np.clip(q, 0.0, self.oil)
        self.pick(np.flatnonzero(keep))
        self.pick(np.argsort(self.q, kind="stable"))
        if air["cream"]:
            self.cream(p, dt, air)
        if air["small"]:
            self.small_slugs(p, v_oil)
        return out

"""Which unknowns widen an answer's band most, and how a person can measure them."""

from typing import NamedTuple

import numpy as np

NOT_AT_THE_BENCH = "no measurement at a bench is known to us"
SPRING_BALANCE = "pull the free rod with a spring balance, both ports open under oil"
CARRIAGE = "pressure that just moves the rods, without a load: what it takes more with the bypass shut than open"
SAMPLE = "draw oil from the reservoir into a measuring glass"
MEASURE = {  # by the evidence key of the field
    "oil_modulus": "the oil's data sheet",
    "oil_pressure_viscosity": "the oil's data sheet",
    "divider_least": "both rods at their stops, pressure on: how long until a rod that is held back has caught up",
    "divider_spring": "the rods' difference half way at full flow and at half of it: what grows fourfold is the spool",
    "divider_flow_force": "the rods' difference half way with two loads: what follows the load is the flow force",
    "divider_friction": "the same stroke three times: the scatter of the rods' difference half way is the spool's friction",
    "divider_torque": "pressure before and behind the divider while both rods go out without a load",
    "dividing_error": "both outlets into measuring glasses, equal pressures, at the flow of a stroke",
    "pump_slip": "time a lift with and without the panel's load: the slower pump slips",
    "valve_discharge": "pressure before and behind the opening at a known flow",
    "plunge_share": "look into the reservoir while oil returns: is air drawn down with it?",
    "foam_collapse": "time how long foam stands on the reservoir after a stroke",
    "seal_breakaway": f"{SPRING_BALANCE}: the force at which it starts, over the piston's area",
    "seal_running_share": f"{SPRING_BALANCE}: the force while it moves, over the one at which it starts",
    "seal_dwell": f"{SPRING_BALANCE}: the force at which it starts after a minute and after ten",
    "piston_leak": "rod at its stop, held there by pressure: how much comes out of the open port on the other side in ten minutes?",
    "air_per_joint": "make and open a joint under oil and catch the bubbles in a measuring glass",
    "dispersed_air": f"{SAMPLE}: the volume that bubbles take, read before and after they have risen",
    "coarse_air": f"{SAMPLE}: the bubbles that rise within seconds, as a share of the volume",
    "coarse_bubble": f"{SAMPLE} and time the rise of the first bubbles over 100 mm: the speed gives the size",
    "fine_bubble": f"{SAMPLE} and time how long it takes to clear from the bottom: the speed gives the size",
    "slug_slip": "put a clear hose into the line: how far does a slug get with a known volume?",
    "slug_rise": "hold a clear hose with a slug upright: how fast does it rise?",
    "air_solubility": "the oil's data sheet",
    "air_diffusivity": NOT_AT_THE_BENCH,
    "air_release": NOT_AT_THE_BENCH,
    "air_saturation": "oil that has stood open for days holds its fill; fresh from a sealed can it may hold less",
    "pull_through": NOT_AT_THE_BENCH,
    "bubble_crowding": NOT_AT_THE_BENCH,
    "froth_limit": NOT_AT_THE_BENCH,
    "pump_shredding": "compare the bubbles in a measuring glass before and behind the pump",
    "cylinder_clearance": "rod home, fill the chamber from a measuring glass until oil stands in the port",
    "rod_seal_air": NOT_AT_THE_BENCH,
    "minor_loss": "count elbows and fittings of the line",
    "visible_bubble": "look at bubbles of known size in a clear hose",
    "visible_share": "look at oil with a known share of bubbles in a clear hose",
}


class Widener(NamedTuple):
    """An unknown that widens the band.

    Attributes
    ----------
    path : str
        Field of the rig.
    share : float, 0 to 1
        Share of the variance of the members' ranks that goes with it alone: first-order index of the same members.
    help : str
        What the field is.
    measure : str
        How a person can measure it.
    """

    path: str
    share: float
    help: str
    measure: str


def first_order(inputs, output, bins):
    """First-order indices from given points: variance of the output's mean over bins of each input.

    Parameters
    ----------
    inputs : array, shape (points, columns)
    output : array, shape (..., points)
    bins : int, >= 2
        Of equally many points.

    Returns
    -------
    array, shape (..., columns)
        Free of the bias that chance alone adds; may be a little below 0.

    References
    ----------
    Correlation ratio: K. Pearson 1905, from memory; the correction is that of the adjusted coefficient of determination.
    """
    points = output.shape[-1] // bins * bins
    order = np.argsort(inputs, axis=0, kind="stable")[:points].T
    cells = output[..., order].reshape(*output.shape[:-1], len(order), bins, -1)
    between = cells.mean(-1).var(-1)
    whole = cells.reshape(*cells.shape[:-2], -1).var(-1)
    share = np.divide(between, whole, out=np.zeros_like(between), where=whole > 0)
    return 1 - (1 - share) * (points - 1) / (points - bins)


def ranks(values):
    """Ranks from 0, ties share their mean; what never ends ranks last."""
    _, which, count = np.unique(values, return_inverse=True, return_counts=True)
    return (np.cumsum(count) - (count + 1) / 2)[which]


def widened_by(answer, most=2, chance=200):
    """The unknowns whose share is larger than the largest that chance gives in 95 % of shuffled answers, largest first."""
    count = answer.parallel if answer.parallel.defined else answer.bled
    members = np.asarray(count.member)
    known = ~np.isnan(members)
    columns = list(answer.table)
    bins = 8 if known.sum() >= 128 else 4
    if known.sum() < 32 or not columns or np.unique(members[known]).size < 2:
        return []
    inputs = np.column_stack([answer.table[c][: len(members)][known] for c in columns])
    output = ranks(members[known])
    share = first_order(inputs, output, bins)
    random = np.random.default_rng(0)
    shuffled = np.array([random.permutation(output) for _ in range(chance)])
    limit = np.quantile(first_order(inputs, shuffled, bins).max(axis=-1), 0.95)
    fields = {f.path: f for f in answer.inputs.rig.fields()}
    best = [i for i in np.argsort(-share) if share[i] > limit][:most]
    return [Widener(columns[i], float(share[i]), fields[columns[i]].help, _measure(fields[columns[i]])) for i in best]


def _measure(field):
    """The carriage of a synchroniser has no rod to pull."""
    if field.path.startswith("synchroniser.") and field.evidence.startswith("seal_"):
        return CARRIAGE
    return MEASURE[field.evidence]

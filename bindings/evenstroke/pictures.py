"""Pictures of a run and of an answer. matplotlib is loaded only when one is asked for.

Told apart by grey value, hatching and markers, not by colour alone; letters are 12 points or more.
"""

import numpy as np

from .stories import place_text

FONT = 12
DARK, BLUE, ORANGE, GREY = "#222222", "#1f6fb4", "#d9730d", "#9a9a9a"
FILLS = (("#1f6fb4", ""), ("#f2a65a", "///"), ("#bdbdbd", ""), ("#a8d0ee", "..."), ("#6e6e6e", ""), ("#ffffff", "xx"))
MOST_PLACES = len(FILLS) - 1
FORMS = (   # column, name in the key, colour, hatching
    ("pocket", "pockets and slugs", "#6e6e6e", ""),
    ("coarse", "coarse bubbles", "#f2a65a", "///"),
    ("fine", "fine bubbles", "#ffffff", "..."),
)


def figure(rows, height):
    """A new figure with axes one above the other."""
    import matplotlib.pyplot as plt

    made, axes = plt.subplots(rows, 1, figsize=(10, height), layout="constrained", squeeze=False)
    return made, tuple(axes[:, 0])


def dress(ax, ylabel, title=None):
    ax.set_ylabel(ylabel, fontsize=FONT)
    ax.tick_params(labelsize=FONT)
    ax.grid(axis="y", color="#dddddd", linewidth=0.8)
    ax.set_axisbelow(True)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    if title:
        ax.set_title(title, fontsize=FONT + 1, loc="left")


def _legend(ax, **where):
    ax.legend(fontsize=FONT, frameon=False, **where)


def _stroke_ticks(ax, last, label=False):
    from matplotlib.ticker import MaxNLocator

    ax.set_xlim(-0.6, last + 0.6)
    ax.xaxis.set_major_locator(MaxNLocator(integer=True))
    if label:
        ax.set_xlabel("bleed stroke (0 = before the first)", fontsize=FONT)


def _mismatch(ax, run):
    table, limit = run.strokes, run.tolerance_mm
    stroke, worst = table["stroke"], table.worst_mm()
    air = np.stack([table[f"air_{s}_mm"] for s in ("25", "50", "75")], axis=1)
    air = air[np.arange(len(air)), np.argmax(np.abs(air), axis=1)]
    ax.axhspan(
        -limit, limit, facecolor="#e3eef8", edgecolor=BLUE, linewidth=0.8, linestyle=":",
        label=f"tolerance, {limit:g} mm either way"
    )
    ax.axhline(0, color=GREY, linewidth=1)
    ax.plot(stroke, worst, color=DARK, marker="o", markersize=7, linewidth=1.6, label="whole mismatch")
    ax.plot(
        stroke,
        air,
        color=ORANGE,
        marker="s",
        markersize=7,
        markerfacecolor="white",
        linestyle="--",
        linewidth=1.6,
        label="the air's part",
    )
    missing = stroke[np.isnan(worst)]
    if len(missing):
        ax.plot(
            missing, np.full(len(missing), 0.04), transform=ax.get_xaxis_transform(), linestyle="none", marker="x",
            markersize=9, color=DARK, label="no reading (foot of the picture)"
        )
    branches = run.inputs.rig.branches
    sign = f", + = {branches[0]} ahead" if len(branches) == 2 else ""
    where = "under the panel" if run.on_load else "rods free"
    dress(ax, f"mismatch [mm]{sign}", f"Rods apart in a check stroke, {where}: worst of 25, 50 and 75 % of the travel")
    known = np.abs(np.concatenate([worst, air, [limit]]))
    top = 1.15 * np.nanmax(known)
    if top > 8 * limit:   # the first strokes are off by so much that the tolerance would be a hairline
        _stretch(ax, limit, top)
    else:
        ax.set_ylim(-top, 2 * top)   # room for the key
    _legend(ax, loc="best" if top > 8 * limit else "upper right")


def _stretch(ax, limit, top):
    """Linear inside the tolerance, decades beyond it."""
    ax.set_yscale("symlog", linthresh=limit)
    decades = [d for d in 10.0 ** np.arange(-3, 6) if 1.8 * limit < d < 1.6 * top]
    ticks = [*(-d for d in reversed(decades)), -limit, 0.0, limit, *decades]
    ax.set_yticks(ticks, [f"{t:g}" for t in ticks])
    ax.set_yticks([], minor=True)
    ax.set_ylim(-1.6 * top, 1.6 * top)


def _air(ax, run):
    table = run.strokes
    places = {p: table[f"free_air_{p}_ml"] for p in run.contents.places}
    held = {p: v for p, v in places.items() if v.max() >= 0.01}
    order = sorted(held, key=lambda p: -held[p].max())
    shown, rest = order[:MOST_PLACES], order[MOST_PLACES:]
    layers = [(place_text(p), held[p]) for p in shown]
    if rest:
        layers.append(("elsewhere", np.sum([held[p] for p in rest], axis=0)))
    base = np.zeros(len(table))
    for (name, values), (colour, hatch) in zip(layers, FILLS):
        ax.bar(
            table["stroke"],
            values,
            0.72,
            bottom=base,
            color=colour,
            edgecolor=DARK,
            linewidth=0.6,
            hatch=hatch,
            label=name,
        )
        base = base + values
    dress(
        ax,
        "free air [mL]",
        "Free air in the circuit after each stroke, at atmospheric pressure and 20 \N{DEGREE SIGN}C",
    )
    tall = base[len(base) // 2 :].max() > 0.5 * base.max()   # bars under the key: make room for it
    ax.set_ylim(0, (1.7 if tall else 1.08) * max(base.max(), 0.1))
    if layers:
        _legend(ax, loc="upper right")


def _form(ax, run):
    """What the free air is: pockets, coarse and fine bubbles; and what the oil holds in solution, on its own scale."""
    table = run.strokes
    base = np.zeros(len(table))
    for form, name, colour, hatch in FORMS:
        values = table[f"{form}_ml"]
        ax.bar(
            table["stroke"], values, 0.72, bottom=base, color=colour, edgecolor=DARK, linewidth=0.6, hatch=hatch,
            label=name
        )
        base = base + values
    dress(ax, "free air [mL]", "What the air in the circuit is: pockets, bubbles, and dissolved in the oil")
    ax.set_ylim(0, 1.7 * max(base.max(), 0.1))
    aside = ax.twinx()
    aside.plot(
        table["stroke"], table["dissolved_ml"], color=BLUE, marker="D", markersize=6, markerfacecolor="white",
        linestyle="--", linewidth=1.6, label="dissolved (right scale)"
    )
    aside.set_ylabel("dissolved [mL]", fontsize=FONT)
    aside.tick_params(labelsize=FONT)
    aside.spines["top"].set_visible(False)
    aside.set_ylim(0, 1.5 * max(table["dissolved_ml"].max(), 0.1))
    keys = [*ax.containers, *aside.get_lines()]
    ax.legend(keys, [k.get_label() for k in keys], fontsize=FONT, frameon=False, loc="upper right", ncols=2)


def _out(ax, run):
    table = run.strokes
    stroke = table["stroke"]
    ax.plot(
        stroke, table["vented_ml"], color=BLUE, marker="o", markersize=7, linewidth=1.6, label="air vented (left scale)"
    )
    dress(ax, "air vented [mL]", "Gone through the reservoir, and the reservoir's level")
    ax.set_ylim(0, 1.35 * max(table["vented_ml"].max(), 0.1))
    level = ax.twinx()
    level.plot(
        stroke,
        table["level_mm"],
        color=ORANGE,
        marker="D",
        markersize=6,
        markerfacecolor="white",
        linestyle="--",
        linewidth=1.6,
        label="level (right scale)",
    )
    level.set_ylabel("level [mm]", fontsize=FONT)
    level.tick_params(labelsize=FONT)
    level.spines["top"].set_visible(False)
    low, high = table["level_mm"].min(), table["level_mm"].max()
    room = max(high - low, 2.0)
    level.set_ylim(low - 0.3 * room, high + 0.6 * room)
    lines = ax.get_lines() + level.get_lines()
    ax.legend(lines, [line.get_label() for line in lines], fontsize=FONT, frameon=False, loc="upper right", ncols=2)


def run_alt_text(run):
    """The point of a run's picture in words."""
    table = run.strokes
    if not len(table):
        return f"Empty picture: {run.status!r}."
    worst, last = table.worst_mm(), table[-1]
    known = worst[~np.isnan(worst)]
    apart = f"from {abs(known[0]):.2f} to {abs(known[-1]):.2f} mm" if len(known) else "without a reading"
    total = sum(table[f"{form}_ml"] for form, *_ in FORMS)
    return (
        f"Four charts, {last['stroke']} bleed strokes of {run.inputs.rig.name or 'a rig'}: the rods' mismatch goes "
        f"{apart} against a tolerance of {run.tolerance_mm:g} mm; free air in the circuit goes from {total[0]:.2f} to "
        f"{total[-1]:.2f} mL ({last['pocket_ml']:.2f} mL pockets and slugs, {last['coarse_ml']:.2f} mL coarse and "
        f"{last['fine_ml']:.2f} mL fine bubbles) beside {last['dissolved_ml']:.2f} mL dissolved in its oil; "
        f"{last['vented_ml']:.2f} mL came out through the reservoir, whose level ends at "
        f"{last['level_mm']:.1f} mm."
    )


def plot_run(run, ax=None):
    """See `Run.plot`."""
    if ax is None:
        made, axes = figure(4, 15.5)
        if run.inputs.rig.name:
            made.suptitle(run.inputs.rig.name, fontsize=FONT + 2)
    else:
        axes = tuple(ax)
    if len(axes) != 4:
        raise ValueError("ax: a run is drawn into four axes, one above the other")
    axes[0].figure.alt_text = run_alt_text(run)
    if len(run.strokes):
        for i, (draw, one) in enumerate(zip((_mismatch, _air, _form, _out), axes)):
            draw(one, run)
            _stroke_ticks(one, run.strokes["stroke"][-1], label=i == 3)
    return axes


def answer_alt_text(answer):
    """The point of an answer's picture in words."""
    parts = []
    for count, what in ((answer.bled, "the air's part of the mismatch"), (answer.parallel, "the whole mismatch")):
        parts.append(f"{what}: {count.text}" + (f", {100 * count.p_never:.3g} % never" if count.p_never else ""))
    return (
        f"Share of {answer.members} variants whose rods stay within {answer.tolerance_mm:g} mm, over bleed strokes; "
        f"median and {100 * answer.confidence:g} % band. " + "; ".join(parts) + "."
    )


def plot_answer(answer, ax=None):
    """See `Answer.plot`."""
    if ax is None:
        made, (ax,) = figure(1, 5.5)
        if answer.inputs.rig.name:
            made.suptitle(answer.inputs.rig.name, fontsize=FONT + 2)
    ax.figure.alt_text = answer_alt_text(answer)
    looks = (
        (answer.bled, "air's part", ORANGE, "s", "--", "#fbd9b5", "///", 110, -0.5),
        (answer.parallel, "whole mismatch", DARK, "o", "-", DARK, "", 121, 0.5),
    )
    ends = [c.member[np.isfinite(c.member)].max() for c, *_ in looks if np.isfinite(c.member).any()]
    last = int(max([4, *ends])) + 1
    bar = 0.08 * (last + 2)   # as many strokes as a bar with its number needs room for
    late = any(c.p_not_within > 0 for c, *_ in looks)
    columns = {"never": last + 0.5 + 1.6 * bar}
    if late:
        columns[f"not within\n{answer.max_strokes}"] = last + 0.5 + 4.6 * bar
    edge = max(columns.values()) + 1.6 * bar
    ax.axvspan(last + 0.5, edge, facecolor="#eeeeee", edgecolor="none")
    for count, name, colour, marker, line, fill, hatch, height, aside in looks:
        known = count.member[~np.isnan(count.member)]
        if not len(known):
            continue
        strokes = np.arange(0, last + 1)
        inside = "white" if hatch else colour
        ax.step(
            strokes,
            [100 * np.mean(known <= n) for n in strokes],
            where="post",
            color=colour,
            linestyle=line,
            linewidth=1.8,
            marker=marker,
            markerfacecolor=inside,
            markersize=10 if hatch else 6,   # where both curves are one, the square shows around the dot
            label=f"{name}: {count.text}",
        )
        beyond = list(columns.values())[-1 if count.p_not_within > count.p_never else 0]
        low, middle, high = (min(x, beyond) for x in (count.low, count.strokes, count.high))
        ax.plot([low, high], [height, height], color=colour, linewidth=2, marker="|", markersize=13)
        ax.plot([middle], [height], color=colour, marker=marker, markerfacecolor=inside, markersize=9)
        for share, x in zip((count.p_never, count.p_not_within), columns.values()):
            at = x + 1.2 * bar * aside
            ax.bar([at], [100 * share], bar, color=fill, edgecolor=colour, hatch=hatch)
            ax.text(at, 100 * share + 1.5, f"{100 * share:.3g}", ha="center", fontsize=FONT)
    dress(ax, "share of the variants [%]")
    ax.set_title(
        f"Inside {answer.tolerance_mm:g} mm: {answer.members} variants of the stated inputs; on top median and "
        f"{100 * answer.confidence:g} % band",
        fontsize=FONT + 1,
        loc="left",
    )
    ax.set_ylim(0, 130)
    ax.set_yticks(range(0, 101, 20))
    ax.set_xlim(-0.3, edge)
    ticks = range(0, last + 1, max(1, -(-last // 12)))
    ax.set_xticks([*ticks, *columns.values()], [*map(str, ticks), *columns])
    ax.set_xlabel("bleed strokes", fontsize=FONT)
    if ax.get_legend_handles_labels()[0]:
        _legend(ax, loc="upper center", bbox_to_anchor=(0.5, -0.17), ncols=2)
    return ax


def save(axes, path):
    """Writes the figure of some axes as PNG with its alt text inside, and closes it."""
    import matplotlib.pyplot as plt

    made = (axes[0] if isinstance(axes, tuple) else axes).figure
    made.savefig(path, dpi=110, metadata={"Description": made.alt_text})
    plt.close(made)

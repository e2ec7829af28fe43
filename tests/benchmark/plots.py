"""The two plots of RESULTS.md."""

import statistics

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt

# colours of Okabe and Ito, told apart by the colour-blind; a marker each besides
LINES = {"evenstroke Rodas5P": ("#000000", "o"), "CVODE BDF, dense LU": ("#E69F00", "s"),
         "CVODE BDF, our sparse LU": ("#D55E00", "D"), "ARKODE ESDIRK, our sparse LU": ("#CC79A7", "^"),
         "Odeint rosenbrock4": ("#0072B2", "v"), "Odeint dopri5": ("#999999", "x"),
         "SciPy LSODA, numba": ("#009E73", "P"), "SciPy Radau, numba": ("#56B4E9", "*")}
PANELS = ("pump starts, dry", "extend, dry", "retract under panel, bled", "rest, dry")


def front(points):
    """Those that no other beats in both."""
    kept, best = [], float("inf")
    for t, e in sorted(points):
        if e < best:
            kept.append((t, e))
            best = e
    return kept


def error_time(m, path):
    figure, axes = plt.subplots(2, 2, figsize=(10, 8.5), sharex=True, sharey=True)
    for ax, segment in zip(axes.flat, PANELS):
        for family, (colour, marker) in LINES.items():
            points = front([(1e3 * statistics.median(r["seconds"]), max(r["error"], 1e-12)) for r in m["runs"]
                            if r["segment"] == segment and r["family"] == family and r["reached"] and r["error"] < 1])
            if points:
                ax.plot(*zip(*points), color=colour, marker=marker, markersize=6, label=family,
                        linewidth=2.5 if "evenstroke" in family else 1.2)
        ax.set(xscale="log", yscale="log", title=segment)
        ax.grid(alpha=0.3)
    for ax in axes[1]:
        ax.set_xlabel("time of one integration [ms]")
    for ax in axes[:, 0]:
        ax.set_ylabel("largest scaled error [-]")
    handles = {label: h for ax in axes.flat for h, label in zip(*ax.get_legend_handles_labels())}
    figure.legend([handles[f] for f in LINES if f in handles], [f for f in LINES if f in handles], loc="lower center", ncols=3,
                  frameon=False)
    figure.tight_layout(rect=(0, 0.1, 1, 1))
    figure.savefig(path, dpi=90)


def size(m, path):
    rows = [(r["case"], r) for r in m["whole"]]
    figure, axes = plt.subplots(1, 3, figsize=(12, 4.2))

    def draw(ax, picked, colour, marker, label):
        x = [p[0] for p in picked]
        middle = [statistics.median(p[1]) for p in picked]
        error = [[c - min(p[1]) for c, p in zip(middle, picked)], [max(p[1]) - c for c, p in zip(middle, picked)]]
        ax.errorbar(x, middle, error, color=colour, marker=marker, capsize=3, label=label)
    stroke = [(c[3], [s / r["strokes"] for s in r["seconds"]]) for c, r in rows if c[:3] == ["run", 2, 0]]
    draw(axes[0], stroke, "#000000", "o", None)
    axes[0].set(xlabel="branches [-]", ylabel="time of a stroke [s]", title="branches", ylim=(0, None),
                xticks=[x for x, _ in stroke])
    draw(axes[1], [(c[1], r["seconds"]) for c, r in rows if c[0] == "run" and c[1] in (10, 100, 1000)], "#000000", "o", "time")
    axes[1].set(xscale="log", yscale="log", xlabel="strokes [-]", ylabel="time [s]", title="strokes of one run")
    memory = axes[1].twinx()
    memory.plot(*zip(*[(c[1], r["peak_mb"]) for c, r in rows if c[0] == "run" and c[1] in (10, 100, 1000)]), color="#D55E00",
                marker="s", linestyle="--", label="peak memory")
    memory.set(ylim=(0, 1.5 * memory.dataLim.y1), ylabel="peak memory [MB]")
    lines, labels = (a + b for a, b in zip(axes[1].get_legend_handles_labels(), memory.get_legend_handles_labels()))
    axes[1].legend(lines, labels, loc="lower right")
    for threads, colour, marker in ((1, "#000000", "o"), (2, "#0072B2", "s")):
        draw(axes[2], [(r["members"], r["seconds"]) for c, r in rows if c[0] == "members" and c[2] == threads], colour, marker,
             f"{threads} thread" + "s" * (threads > 1))
    axes[2].set(xscale="log", yscale="log", xlabel="members, one stroke each [-]", ylabel="time [s]", title="members")
    axes[2].legend()
    for ax in axes:
        ax.grid(alpha=0.3)
    figure.tight_layout()
    figure.savefig(path, dpi=90)


def draw(m, folder):
    folder.mkdir(exist_ok=True)
    plt.rcParams.update({"font.size": 12})
    error_time(m, folder / "error_time.png")
    size(m, folder / "size.png")

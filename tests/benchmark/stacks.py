"""Where the time of a whole run goes, out of call stacks looked at once per millisecond."""

import subprocess
from collections import Counter
from pathlib import Path

PARTS = ("flow", "transport", "exchange", "re-closure", "else inside the march", "outside the march")
# What the time is for: the first purpose with a file on the stack, so laws count for what calls them.
PURPOSES = (("solution and release along lines", ("transport/line_solution",)),
            ("what flow is told of every edge's mixture", ("transport/edge_states",)),
            ("bubbles carried along lines", ("transport/clouds", "transport/swarm", "transport/cloud_rise")),
            ("slugs, queues, ends of lines", ("transport/line_ends", "transport/slug", "transport/queue", "transport/parcels")),
            ("other exchange: chambers, heat", ("transport/exchange", "transport/shut_in")),
            ("other transport: chambers, tanks", ("transport/",)),
            ("flow equations", ("flow/model", "air/", "components/", "fluid/")),
            ("stepper and linear algebra", ("solver/", "flow/step_from")),
            ("engine: events, efforts, freezing", ("flow/",)))


def frames_of(program, addresses):
    """Per address its functions, innermost first, those inlined there included, as (function, file)."""
    answer = subprocess.run(["addr2line", "-afiC", "-e", program], input="\n".join(sorted(addresses)), capture_output=True,
                            text=True, check=True).stdout.splitlines()
    found, i = {}, 0
    while i < len(answer):
        address, frames = hex(int(answer[i], 16)), []
        i += 1
        while i < len(answer) and not answer[i].startswith("0x"):
            frames.append((short(answer[i]), answer[i + 1].rsplit(":", 1)[0]))
            i += 2
        found[address] = frames
    return found


def short(function):
    """Name alone: no template arguments, parameters, return type."""
    text, depth, out = function.replace("(anonymous namespace)::", "").replace("->", ""), 0, []
    for c in text:
        depth -= c == ">"
        if depth == 0 and c not in "<>":
            out.append(c)
        depth += c == "<"
    return "".join(out).split("(")[0].split(" ")[-1].replace("evenstroke::", "")


def part_of(chain):
    """Walks in from the outside; below March the first file that is not its own decides."""
    inside = freezing = False
    for name, place in reversed(chain):
        if place.endswith("/transport/march.hpp"):
            inside = True
            freezing = freezing or name.split("::")[-1] in ("freeze", "close")
        elif inside and "/lib/evenstroke/" in place:
            if freezing or place.endswith("/flow/engine.cpp"):
                return "re-closure"
            if place.endswith("/flow/engine_impl.hpp"):
                return "flow"
            if "/transport/exchange." in place:
                return "exchange"
            return "transport" if "/transport/" in place else "else inside the march"
    return "re-closure" if freezing else "else inside the march" if inside else "outside the march"


def shares(program, stacks):
    """Share of every part; of every purpose with the files that the time itself goes into; number of samples."""
    lines = [line.split() for line in Path(stacks).read_text().splitlines() if line]
    known = frames_of(program, {f for line in lines for f in line if f.startswith("0x")})
    parts, purposes = Counter(), {}
    for line in lines:
        chain = [frame for f in line for frame in known.get(f, [(f, "")])]
        parts[part_of(chain)] += 1
        files = [p.split("/lib/evenstroke/")[1] for _, p in chain if "/lib/evenstroke/" in p and not p.endswith("/march.hpp")]
        purpose = next((name for name, starts in PURPOSES if any(f.startswith(starts) for f in files)), "all else")
        purposes.setdefault(purpose, Counter())[files[0] if files else "elsewhere"] += 1
    total = len(lines)
    ranked = sorted(purposes.items(), key=lambda item: -item[1].total())
    return {"parts": {p: parts[p] / total for p in PARTS}, "samples": total,
            "purposes": [(name, files.total() / total, [(f, n / total) for f, n in files.most_common(3)])
                         for name, files in ranked]}

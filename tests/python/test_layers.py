"""The folders of the library are layers: each includes only itself and folders that stand before it in this list.

Plain text is read, nothing is compiled, so a forbidden include is found even where it would compile.
"""

import re
from pathlib import Path

import pytest

LAYERS = ["base", "fluid", "air", "solver", "components", "rig", "network", "flow", "transport", "procedure",
          "analysis", "io"]
ONLY = {"solver": {"base", "solver"}}  # stricter than the order: the solver knows no physics
LIB = Path(__file__).resolve().parents[2] / "lib" / "evenstroke"

INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*([<"])([^>"\n]+)[>"]', re.MULTILINE)
STANDARD = re.compile(r"[a-z_0-9]+")  # <vector>, <cmath>: no slash, no suffix
GUESTS = ("boost/", "fmt/", "toml++/", "Eigen/")
GUEST_OF = {"solver/odeint.cpp": "boost/numeric/odeint/", "solver/dense_lu.cpp": "Eigen/"}  # each in this one file


def allowed(folder):
    return ONLY.get(folder, set(LAYERS[: LAYERS.index(folder) + 1]))


def problems_of(text, folder, where, is_header):
    """Everything wrong with the includes of one file."""
    for bracket, target in INCLUDE.findall(text):
        if bracket == '"':
            parts = target.split("/")
            if parts[0] != "evenstroke" or len(parts) < 3:
                yield f"{where}: \"{target}\" is not written as evenstroke/<folder>/<file>"
            elif parts[1] not in LAYERS:
                yield f"{where}: \"{target}\" names a folder that is no layer"
            elif parts[1] not in allowed(folder):
                yield f"{where}: {folder} must not include {parts[1]} (\"{target}\")"
        elif STANDARD.fullmatch(target):
            continue
        elif not target.startswith(GUESTS):
            yield f"{where}: <{target}> is neither standard nor a library of this project"
        elif is_header:
            yield f"{where}: <{target}> in a header would make every user need that library"
        elif target.startswith(GUEST_OF.get(where, "none")):
            continue
        elif target.startswith(tuple(GUEST_OF.values())):
            yield f"{where}: <{target}> has one file of its own, in solver"
        elif folder == "solver":
            yield f"{where}: solver includes <{target}>; it stands on base and the standard library alone"


def problems_in(lib):
    found, toml_users = [], []
    files = sorted(p for p in lib.rglob("*") if p.suffix in (".hpp", ".cpp"))
    if not files:
        found.append(f"no source file under {lib}")
    for path in files:
        where = path.relative_to(lib).as_posix()
        folder = where.split("/")[0]
        if "/" not in where or folder not in LAYERS:
            found.append(f"{where}: stands in no layer")
            continue
        text = path.read_text(encoding="utf-8")
        found += problems_of(text, folder, where, path.suffix == ".hpp")
        if any(target.startswith("toml") for _, target in INCLUDE.findall(text)):
            toml_users.append(where)
    if len(toml_users) > 1:
        found.append(f"more than one file includes toml++: {', '.join(toml_users)}")
    found += [f"{user}: only io reads TOML" for user in toml_users if not user.startswith("io/")]
    return found


def test_every_include_points_to_the_same_layer_or_an_earlier_one():
    assert problems_in(LIB) == []


GOOD = {
    "base/error.hpp": "#include <string>\n",
    "air/slug.hpp": '#include <cmath>\n#include "evenstroke/fluid/oil.hpp"\n#include "evenstroke/air/gas.hpp"\n',
    "io/reader.cpp": '#include <toml++/toml.h>\n#include "evenstroke/analysis/answer.hpp"\n',
}


def tree(folder, files):
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def test_a_good_tree_is_accepted(tmp_path):
    assert problems_in(tree(tmp_path, GOOD)) == []


@pytest.mark.parametrize(
    "name, text, complaint",
    [
        ("fluid/oil.hpp", '#include "evenstroke/air/gas.hpp"\n', "fluid must not include air"),
        ("base/field.cpp", '  #  include "evenstroke/rig/rig.hpp"\n', "base must not include rig"),
        ("analysis/a.cpp", '#include "evenstroke/io/files.hpp"\n', "analysis must not include io"),
        ("solver/step.hpp", '#include "evenstroke/fluid/oil.hpp"\n', "solver must not include fluid"),
        ("solver/step.cpp", "#include <boost/math/roots.hpp>\n", "stands on base and the standard library"),
        ("solver/step.cpp", "#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>\n", "has one file of its own"),
        ("flow/step.cpp", "#include <Eigen/LU>\n", "has one file of its own"),
        ("io/other.cpp", "#include <toml++/toml.h>\n", "more than one file includes toml++"),
        ("rig/rig.cpp", "#include <toml.hpp>\n", "only io reads TOML"),
        ("air/gas.hpp", "#include <fmt/format.h>\n", "in a header would make every user need"),
        ("air/gas.cpp", "#include <math.h>\n", "neither standard nor"),
        ("air/gas.cpp", '#include "slug.hpp"\n', "is not written as"),
        ("air/gas.cpp", '#include "evenstroke/ari/slug.hpp"\n', "no layer"),
        ("extras/thing.hpp", "#pragma once\n", "stands in no layer"),
        ("thing.hpp", "#pragma once\n", "stands in no layer"),
    ],
)
def test_a_bad_tree_is_refused(tmp_path, name, text, complaint):
    found = problems_in(tree(tmp_path, {**GOOD, name: text}))
    assert any(complaint in problem for problem in found), found


def test_an_empty_tree_is_refused(tmp_path):
    assert problems_in(tmp_path)

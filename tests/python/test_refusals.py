"""Mistakes in files and on the command line: one line that says where, exit code 2, never a traceback."""

import pickle

import pytest

import evenstroke as es
from conftest import PROCEDURE, RIGS, command

RIG = RIGS / "roof_hatch.toml"
GOOD = RIG.read_text(encoding="utf-8")


def refused(*arguments):
    """Exit code 2, nothing on stdout, a line for each problem on stderr and no traceback; returns the lines."""
    done = command(*arguments)
    assert done.returncode == 2, done
    assert done.stdout == "" and done.stderr and "Traceback" not in done.stderr, done
    lines = done.stderr.splitlines()
    assert len(lines) == 1 or all(line.startswith(lines[0].split(":")[0] + ":") for line in lines), done
    return done.stderr


BAD_RIGS = {
    "no such file": (None, "no such file"),
    "not toml": (GOOD.replace('name = "observatory', "name = observatory", 1), ":4:"),
    "decimal comma": (GOOD.replace("bore_mm = 20", "bore_mm = 20,5", 1), ""),
    "unknown key": (GOOD.replace("bore_mm", "boar_mm", 1), "boar_mm"),
    "missing key": (GOOD.replace("bore_mm = 20\n", "", 1), "bore"),
    "doubled key": (GOOD.replace("bore_mm = 20\n", "bore_mm = 20\nbore_mm = 20\n", 1), "bore_mm"),
    "two spellings": (GOOD.replace("bore_mm = 20\n", "bore_mm = 20\nbore_m = 0.02\n", 1), "bore"),
    "wrong type": (GOOD.replace("bore_mm = 20", 'bore_mm = "20"', 1), "bore_mm"),
    "out of range": (GOOD.replace("bore_mm = 20", "bore_mm = 20000", 1), "bore_mm = 20000"),
    "rod thicker than bore": (GOOD.replace("rod_mm = 12", "rod_mm = 30", 1), "rod"),
    "unknown synchroniser": (GOOD.replace('"metering_pistons"', '"magic"', 1), "magic"),
    "no format version": (GOOD.replace("format_version = 1\n", "", 1), "format_version"),
    "later format version": (GOOD.replace("format_version = 1\n", "format_version = 99\n", 1), "format_version"),
    "empty": ("", ""),
    "bytes": ("\x00\x01\udcff", ""),
}


@pytest.mark.parametrize("name", BAD_RIGS)
def test_a_bad_rig_file(name, tmp_path):
    text, said = BAD_RIGS[name]
    path = tmp_path / "rig.toml"
    if text is not None:
        assert text != GOOD
        path.write_text(text, encoding="utf-8", errors="surrogateescape")
    line = refused("answer", path, PROCEDURE)
    assert line.startswith(str(path)) and said in line
    with pytest.raises(es.FileError) as caught:
        es.load_rig(path)
    told = str(caught.value) if caught.value.others else str(caught.value).replace("\n", " ")
    assert told + "\n" == line and isinstance(caught.value, (es.InputError, ValueError))
    if text:
        assert caught.value.line >= 1 and line.startswith(f"{path}:{caught.value.line}:{caught.value.column}: ")


@pytest.mark.parametrize(
    "change",
    [
        ("strokes = ", "strokes = -"),
        ('bypass = "', 'bypass = "half '),
        ("repeat = true", "repeat = false"),
        ("dwell_s", "dwell"),
    ],
)
def test_a_bad_procedure_file(change, tmp_path):
    path = tmp_path / "procedure.toml"
    text = PROCEDURE.read_text(encoding="utf-8")
    path.write_text(text.replace(*change), encoding="utf-8")
    assert path.read_text(encoding="utf-8") != text
    assert refused("answer", RIG, path).startswith(f"{path}:")


@pytest.mark.parametrize(
    "arguments, said",
    [
        (["--dry", "left.cylindre"], "left.cylinder"),
        (["--opened", "left.cylinder"], "left.cap_line"),
        (["--opened", "nothing"], "nothing"),
        (["--rods", "half"], "half"),
        (["--tolerance-mm", "0"], "tolerance_mm = 0"),
        (["--tolerance-mm", "-1"], "tolerance_mm = -1"),
        (["--tolerance-mm", "nan"], "tolerance_mm = nan"),
        (["--tolerance-mm", "much"], "much"),
        (["--members", "1"], "members = 1"),
        (["--members", "1e3"], "1e3"),
        (["--members", str(10**30)], "members"),
        (["--seed", "-1"], "seed = -1"),
        (["--threads", "-2"], "threads = -2"),
        (["--confidence", "1"], "confidence"),
        (["--confidence", "nan"], "confidence"),
        (["--member", "3"], "--member"),
    ],
)
def test_bad_arguments(arguments, said):
    assert said in refused("answer", RIG, PROCEDURE, *arguments)


def test_bad_commands(tmp_path):
    assert "COMMAND" in refused()
    assert "anwser" in refused("anwser", RIG, PROCEDURE)
    assert "RIG" in refused("answer")
    assert "no such file" in refused("demo", "--examples", tmp_path, "--out", tmp_path / "out")
    assert "max_strokes" in refused("answer", PROCEDURE, RIG)  # the two files the wrong way round
    assert str(tmp_path) in refused("answer", tmp_path, PROCEDURE)


def test_a_folder_that_cannot_be_written_is_named(tmp_path):
    (tmp_path / "file").write_text("in the way")
    done = command("answer", RIG, PROCEDURE, "--members", 2, "--out", tmp_path / "file" / "below")
    assert (
        done.returncode == 2
        and done.stderr.count("\n") == 1
        and "below" in done.stderr
        and "Traceback" not in done.stderr
    )


def test_all_that_is_wrong_in_a_file_is_told_at_once(tmp_path):
    """In the library as `others`, on the command line a line each."""
    text = 'format_version = 1\nmax_strokes = 0\n[[step]]\nkind = "cycle"\nbypas = "open"\nstrokes = 0.5\n'
    with pytest.raises(es.FileError) as caught:
        es.parse_procedure(text)
    error = caught.value
    assert [e.field for e in (error, *error.others)] == ["max_strokes", "step 1.bypas", "step 1.strokes"]
    assert all(isinstance(e, es.FileError) and not e.others for e in error.others)
    assert str(error).split("\n")[1:] == [str(e) for e in error.others] and "did you mean bypass" in str(error)
    again = pickle.loads(pickle.dumps(error))
    assert [str(e) for e in again.others] == [str(e) for e in error.others]
    file = tmp_path / "p.toml"
    file.write_text(text)
    told = command("answer", RIGS / "roof_hatch.toml", file, "--members", 2)
    assert told.returncode == 2 and len(told.stderr.splitlines()) == 3

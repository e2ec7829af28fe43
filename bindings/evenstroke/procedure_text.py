"""A procedure as the text of its file."""

import json

from . import _core
from .errors import one_of

KEYS = (
    "bypass strokes dwell_s rods repeat stand_s parted line_end port attitude by_hand hand_n hand_speed_m_per_s valve "
    "bursts motor_s clear_m3 refill press_s held_n extend_v retract_v travel halt_s let_go temperature_deg_c "
    "cracked_deg bleed"
).split()


def _value(value):
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, str):  # JSON's escapes are TOML's, but for DEL
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return json.dumps(value)


def procedure_text(procedure):
    """A procedure as TOML text that `parse_procedure` reads back as it was.

    Parameters
    ----------
    procedure : Procedure

    Returns
    -------
    str
        Only what differs from a step's defaults is written.

    Raises
    ------
    InputError
        It is no Procedure.
    """
    one_of("procedure", procedure, _core.Procedure)
    lines = ["format_version = 1", f"name = {_value(procedure.name)}", f"max_strokes = {procedure.max_strokes}"]
    usual = _core.Step()
    for step in procedure.steps:
        lines += ["", "[[step]]", f"kind = {_value(step.kind)}"]
        for key in KEYS:
            value = getattr(step, key)
            if value != getattr(usual, key) or key == "repeat":
                lines.append(f"{key} = {_value(value)}")
    return "\n".join(lines) + "\n"

"""The public laws, one function each: those the simulation computes with, and others to hold it against.

All arguments in SI with the unit in the name; numbers or arrays, which broadcast. Outside the range a law states, an
`InputError` is raised where the library refuses the value.
"""

from ._core import laws as _laws

__all__ = [name for name in dir(_laws) if not name.startswith("_")]
globals().update({name: getattr(_laws, name) for name in __all__})

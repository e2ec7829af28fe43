"""Errors: the caller's mistakes. What nature or the solver does to a run is a status, never an error."""

import operator
import reprlib

import numpy as np


class InputError(ValueError):
    """A value that cannot be used.

    Attributes
    ----------
    field, value, unit, rule : str
        What was given, in which unit, and the rule it breaks.
    """

    def __init__(self, message, *, field="", value="", unit="", rule=""):
        super().__init__(message)
        self.field, self.value, self.unit, self.rule = field, value, unit, rule

    def __reduce__(self):
        return _again, (type(self), str(self), self.__dict__.copy())


class FileError(InputError):
    """The same for something written in a file.

    Attributes
    ----------
    file : str
    line, column : int
        Counted from 1; 0 where the file as a whole is meant.
    others : list of FileError
        What else is wrong in the file, in its order; the text of this error tells all, a line each.
    """

    def __init__(self, message, *, file="", line=0, column=0, others=(), **parts):
        super().__init__(message, **parts)
        self.file, self.line, self.column, self.others = file, line, column, list(others)


def _again(kind, message, parts):
    return kind(message, **parts)


def refuse(name, value, rule):
    """Raises InputError for a value given under a name."""
    text = reprlib.repr(value)
    raise InputError(f"{name} = {text}: {rule}", field=name, value=text, rule=rule)


def number(name, value):
    """The value as float; InputError for what is no number. Text and truth values are none."""
    if not isinstance(value, (str, bytes, bool, np.bool_, np.character)) and getattr(value, "ndim", 0) == 0:
        try:
            return float(value)
        except (TypeError, ValueError, OverflowError):
            pass
    refuse(name, value, "must be a number")


def whole(name, value, low, high):
    """The value as int; InputError outside low to high and for what is no whole number."""
    try:
        if isinstance(value, (bool, np.bool_)):
            raise TypeError
        found = operator.index(value)
    except TypeError:
        refuse(name, value, f"must be a whole number between {low} and {high}")
    if not low <= found <= high:
        refuse(name, found, f"must lie between {low} and {high}")
    return found


def flag(name, value):
    """The value as bool; InputError for anything but True and False."""
    if not isinstance(value, (bool, np.bool_)):
        refuse(name, value, "must be True or False")
    return bool(value)


def names(name, value):
    """The value as a list of str; a single str is refused, or its letters would be the names."""
    try:
        found = None if isinstance(value, (str, bytes)) else list(value)
    except TypeError:
        found = None
    if found is None or not all(isinstance(one, str) for one in found):
        refuse(name, value, "must be a list of names")
    return found


def word(name, value):
    """The value, which is a str."""
    if not isinstance(value, str):
        refuse(name, value, "must be a word")
    return value


def all_of(name, value, kind):
    """The value as a list, at least one long, of things of that class."""
    try:
        found = list(value)
    except TypeError:
        found = []
    if not found or not all(isinstance(one, kind) for one in found):
        refuse(name, value, f"must be a list of at least one {kind.__name__}")
    return found


def one_of(name, value, kind):
    """The value; InputError for what is not of that class."""
    if not isinstance(value, kind):
        refuse(name, value, f"must be a {kind.__name__}")
    return value

"""Errors: the caller's mistakes. What nature or the solver does to a run is a status, never an error."""

import operator


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
    """

    def __init__(self, message, *, file="", line=0, column=0, **parts):
        super().__init__(message, **parts)
        self.file, self.line, self.column = file, line, column


def _again(kind, message, parts):
    return kind(message, **parts)


def whole(name, value, low, high):
    """The value as int; InputError outside low to high, TypeError for what is no whole number."""
    number = operator.index(value)
    if not low <= number <= high:
        rule = f"must lie between {low} and {high}"
        raise InputError(f"{name} = {number}: {rule}", field=name, value=str(number), rule=rule)
    return number

"""Errors a person can mend; each carries the exit status of the program."""


class FillbendError(Exception):
    """Base of all errors that end a run with one clear line.

    Attributes
    ----------
    key : str
        The choice to change, by its place in a setting, as in "core.pattern" or "printing.walls"; "" where the message
        names it. Whoever has read the setting from a file knows the entry that gives it.
    """

    status = 2

    def __init__(self, message: str = "", key: str = "") -> None:
        super().__init__(message)
        self.key = key


class InputError(FillbendError):
    """Wrong usage or input, or impossible geometry."""


class DataError(FillbendError):
    """Measured data are missing or refused."""

    status = 3


class SolverError(FillbendError):
    """A mesh could not be made or a system could not be solved."""

    status = 4

"""Errors a person can mend; each carries the exit status of the command line."""


class FillbendError(Exception):
    """Base of all errors that end a command with one clear line."""

    status = 2


class InputError(FillbendError):
    """Wrong usage, study file or impossible geometry."""


class DataError(FillbendError):
    """Measured data are missing or refused."""

    status = 3


class SolverError(FillbendError):
    """A mesh could not be made or a system could not be solved."""

    status = 4

"""Exceptions for the impossible; the undesirable is a `Finding`."""


class UfhError(Exception):
    """Root of all errors that reach a user: its text is one clear line."""


class ModelReadError(UfhError):
    """The architect's file cannot be read or holds no floor to heat."""


class SettingsError(UfhError):
    """A settings file holds an unknown key, a wrong type or an impossible value."""


class NoSolution(UfhError):
    """A calculation has no answer for the given input."""


class OutputError(UfhError):
    """The results cannot be written."""

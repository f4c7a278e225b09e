"""Exceptions for the impossible; the undesirable is a `Finding`."""

from __future__ import annotations

from ufh_core.basis.message import Message


class UfhError(Exception):
    """Root of all errors that reach a user: its text is one clear line."""

    @property
    def message(self) -> Message:
        """Its line, to be said in another language where it was made as one."""
        line = self.args[0] if self.args else ""
        return line if isinstance(line, Message) else Message("{line}", line=str(line))


class ModelReadError(UfhError):
    """The architect's file cannot be read or holds no floor to heat."""


class SettingsError(UfhError):
    """A settings file holds an unknown key, a wrong type or an impossible value."""


class NoSolution(UfhError):
    """A calculation has no answer for the given input."""


class OutputError(UfhError):
    """The results cannot be written."""

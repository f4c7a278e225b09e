"""What the host's scene shows of a building and its design: objects made from results, nothing calculated.

`building.show` and `design.show` put collections into the scene, `clear` takes them out again. Every object that is
made here carries what it is and whose it is as custom properties (see `names`), so that nothing depends on the names
that the host or the user gives to it.
"""

from __future__ import annotations

from .objects import clear, part

__all__ = ["clear", "part"]

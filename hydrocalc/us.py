"""Every named function in US trade units, under its own name: ``hydrocalc.us.flow_from_load(62000, 20, 61.2, 1.0)`` is in gpm.

What stands here is written out for editors and type checkers in ``us.pyi``.
"""

from __future__ import annotations

from .named import catalogue as _catalogue

__all__ = sorted(_catalogue())
globals().update({name: function.us for name, function in _catalogue().items()})

"""Every named function in metric trade units, under its own name: ``hydrocalc.metric.flow_from_load(18, 11, 980, 4.19)`` is in L/min.

What stands here is written out for editors and type checkers in ``metric.pyi``.
"""

from __future__ import annotations

from .named import catalogue as _catalogue

__all__ = sorted(_catalogue())
globals().update({name: function.metric for name, function in _catalogue().items()})

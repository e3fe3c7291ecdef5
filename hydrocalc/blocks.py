"""Long arrays a block at a time, the blocks shared among the cores.

What a body holds between two of its steps stays in a core's own cache, and numpy lets other threads run while it computes.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from contextvars import copy_context
from functools import cache
from typing import Any

import numpy as np

BLOCK = 98304  # elements at most; much shorter ones leave threads waiting for one another, longer ones leave the cache


def long_shape(values: Sequence[Any]) -> tuple[int, ...] | None:
    """The common shape of arrays that are worth dividing; None where all are short or plain numbers."""
    shapes = [v.shape for v in values if isinstance(v, np.ndarray)]
    if not shapes or max(map(math.prod, shapes)) <= 2 * BLOCK:
        return None
    return np.broadcast_shapes(*shapes)


def in_blocks(work: Callable[..., Any], values: Sequence[Any], shape: tuple[int, ...]) -> Any:
    """``work`` over every block of the values; an error in one is raised when those under way have ended."""
    flat = [np.broadcast_to(v, shape).ravel() if isinstance(v, np.ndarray) else v for v in values]
    result = np.empty(math.prod(shape))
    workers = cores()
    size = -(-result.size // (workers * -(-result.size // (workers * BLOCK))))  # as many like blocks for each core

    def one(start: int) -> None:
        part = slice(start, start + size)
        result[part] = work([f[part] if isinstance(f, np.ndarray) else f for f in flat])

    # A thread begins without the caller's context: neither its hook nor its way with numpy's errors.
    running = [_pool().submit(copy_context().run, one, start) for start in range(0, result.size, size)]
    try:
        for block in running:
            block.result()
    finally:
        for block in running:
            block.cancel()
        wait(running)
    return result.reshape(shape)


def by_text(work: Callable[..., Any], values: Sequence[Any]) -> Any:
    """``work`` once for each text of an array of texts, over all that stands beside it; at once where no array holds texts."""
    keys = [i for i, v in enumerate(values) if isinstance(v, np.ndarray) and v.dtype == object]
    if not keys:
        return work(*values)
    shape = np.broadcast_shapes(*(v.shape for v in values if isinstance(v, np.ndarray)))
    flat = [np.broadcast_to(v, shape).ravel() if isinstance(v, np.ndarray) else v for v in values]
    places: dict[tuple[Any, ...], list[int]] = {}
    for place, texts in enumerate(zip(*(flat[i].tolist() for i in keys), strict=True)):
        places.setdefault(texts, []).append(place)
    result = np.empty(math.prod(shape))
    for texts, where in places.items():
        given = [v[where] if isinstance(v, np.ndarray) else v for v in flat]
        for i, text in zip(keys, texts, strict=True):
            given[i] = text
        result[where] = work(*given)
    return result.reshape(shape)


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@cache
def _pool() -> ThreadPoolExecutor:
    """The threads of this process; starting them for each call would cost as much as a refining step."""
    return ThreadPoolExecutor(cores())


if hasattr(os, "register_at_fork"):  # a process that parts from this one has none of its threads
    os.register_at_fork(after_in_child=_pool.cache_clear)

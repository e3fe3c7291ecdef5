"""Long arrays a block at a time, the blocks shared among the cores.

What a body holds between two of its steps stays in a core's own cache, and numpy lets other threads run while it computes.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from contextvars import copy_context
from typing import Any

import numpy as np

BLOCK = 65536  # elements; shorter ones leave threads waiting for one another, longer ones leave the cache


def long_shape(values: Sequence[Any]) -> tuple[int, ...] | None:
    """The common shape of arrays that are worth dividing; None where all are short or plain numbers."""
    shapes = [v.shape for v in values if isinstance(v, np.ndarray)]
    if not shapes or max(map(math.prod, shapes)) <= 2 * BLOCK:
        return None
    return np.broadcast_shapes(*shapes)


def in_blocks(work: Callable[..., Any], values: Sequence[Any], shape: tuple[int, ...]) -> Any:
    """``work`` over every block of the values; an error in one is raised when those under way have ended."""
    from concurrent.futures import ThreadPoolExecutor  # late: most calls are short, and a job's start should be too

    flat = [np.broadcast_to(v, shape).ravel() if isinstance(v, np.ndarray) else v for v in values]
    result = np.empty(math.prod(shape))

    def one(start: int) -> None:
        part = slice(start, start + BLOCK)
        result[part] = work(*(f[part] if isinstance(f, np.ndarray) else f for f in flat))

    starts = range(0, result.size, BLOCK)
    with ThreadPoolExecutor(cores()) as pool:
        # A thread begins without the caller's context: neither its hook nor its way with numpy's errors.
        running = [pool.submit(copy_context().run, one, start) for start in starts]
        try:
            for block in running:
                block.result()
        finally:
            pool.shutdown(cancel_futures=True)
    return result.reshape(shape)


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1

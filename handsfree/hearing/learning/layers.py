"""The few kinds of layers of the two networks, each with the way back: from a gradient of what came out to one of what
went in. Rows are frames or tokens, columns the network's width."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

Array = np.ndarray[Any, np.dtype[np.float32]]
Back = Callable[[Array], Array]
"""From the gradient of a layer's result to that of what it was given."""

HEADS = 8
TURNED = 32
"""Dimensions of each head that are turned by place, in neighbouring pairs."""
EPSILON = 1e-5


def normed(x: Array, weight: Array) -> tuple[Array, Callable[[Array], tuple[Array, Array]]]:
    """Layer norm with a weight and no bias; back to the gradients of ``x`` and of the weight."""
    centred = x - x.mean(axis=-1, keepdims=True)
    scale = 1 / np.sqrt(np.square(centred).mean(axis=-1, keepdims=True) + EPSILON)
    unit = centred * scale

    def back(given: Array) -> tuple[Array, Array]:
        of_unit = given * weight
        along = (of_unit * unit).mean(axis=-1, keepdims=True)
        return scale * (of_unit - of_unit.mean(axis=-1, keepdims=True) - unit * along), (given * unit).sum(axis=0)

    return unit * weight, back


def normed_as_a_whole(x: Array, weight: Array, bias: Array) -> tuple[Array, Callable[[Array], tuple[Array, Array]]]:
    """Group norm with a single group, over frames and channels together; back to the gradients of the weight and the
    bias (nothing that is learned lies before it)."""
    centred = x - x.mean()
    unit = centred / np.sqrt(np.square(centred).mean() + EPSILON)

    def back(given: Array) -> tuple[Array, Array]:
        return (given * unit).sum(axis=0), given.sum(axis=0)

    return unit * weight + bias, back


def gelu(x: Array) -> tuple[Array, Back]:
    """x times the normal distribution's share below x."""
    share = 0.5 * (1 + _erf(x * np.float32(0.70710678)))

    def back(given: Array) -> Array:
        density = np.float32(0.39894228) * np.exp(-0.5 * np.square(x))
        return np.asarray(given * (share + x * density), np.float32)

    return x * share, back


def _erf(x: Array) -> Array:
    """The error function to 2e-7 (Abramowitz and Stegun, Handbook of Mathematical Functions, 7.1.26)."""
    size = np.abs(x)
    t = 1 / (1 + np.float32(0.3275911) * size)
    series = np.float32(1.061405429)
    for factor in (-1.453152027, 1.421413741, -0.284496736, 0.254829592):
        series = series * t + np.float32(factor)
    return np.asarray(np.sign(x) * (1 - series * t * np.exp(-np.square(x))), np.float32)


def gated(x: Array) -> tuple[Array, Back]:
    """The first half of the columns, as far as the second half lets through (SiLU)."""
    hidden, gate = np.split(x, 2, axis=-1)
    opened = np.float32(1) / (1 + np.exp(-gate))

    def back(given: Array) -> Array:
        of_gate = given * hidden * opened * (1 + gate * (1 - opened))
        return np.concatenate([given * gate * opened, of_gate], axis=-1)

    return np.asarray(hidden * gate * opened, np.float32), back


def attended(
    query: Array, key: Array, value: Array, *, places: bool, causal: bool = False
) -> tuple[Array, Callable[[Array], tuple[Array, Array, Array]]]:
    """Attention of rows of ``query`` to rows of ``key`` and ``value``; back to the gradients of the three.

    ``places``: queries and keys know their places; ``causal``: no row attends to a later one.
    """
    q, k, v = _in_heads(query), _in_heads(key), _in_heads(value)
    if places:
        q, k = _turned(q, 1), _turned(k, 1)
    scale = np.float32(1 / np.sqrt(q.shape[-1]))
    scores = q @ k.transpose(0, 2, 1) * scale
    if causal:
        scores = scores + np.triu(np.full(scores.shape[1:], -1e9, np.float32), 1)
    weights = np.exp(scores - scores.max(axis=-1, keepdims=True))
    weights /= weights.sum(axis=-1, keepdims=True)

    def back(given: Array) -> tuple[Array, Array, Array]:
        of_heads = _in_heads(given)
        of_weights = of_heads @ v.transpose(0, 2, 1)
        of_scores = weights * (of_weights - (of_weights * weights).sum(axis=-1, keepdims=True)) * scale
        of_q, of_k = of_scores @ k, of_scores.transpose(0, 2, 1) @ q
        if places:
            of_q, of_k = _turned(of_q, -1), _turned(of_k, -1)
        return _joined(of_q), _joined(of_k), _joined(weights.transpose(0, 2, 1) @ of_heads)

    return _joined(weights @ v), back


def _in_heads(x: Array) -> Array:
    heads: Array = x.reshape(len(x), HEADS, -1).transpose(1, 0, 2)
    return heads


def _joined(x: Array) -> Array:
    rows: Array = np.ascontiguousarray(x.transpose(1, 0, 2)).reshape(x.shape[1], -1)
    return rows


def _turned(x: Array, way: int) -> Array:
    """(heads, length, head size) with the places written into it, or (``way`` -1) taken out of it."""
    rates = 10000.0 ** (-np.arange(0, TURNED, 2) / TURNED)
    angles = way * np.arange(x.shape[1])[:, None] * rates
    cos, sin = np.cos(angles).astype(np.float32), np.sin(angles).astype(np.float32)
    first, second = x[..., 0:TURNED:2], x[..., 1:TURNED:2]
    found: Array = x.copy()
    found[..., 0:TURNED:2], found[..., 1:TURNED:2] = first * cos - second * sin, second * cos + first * sin
    return found


def convolved(x: Array, weight: Array, step: int) -> tuple[Array, Back]:
    """Convolution along the rows, without its bias. ``weight``: (channels out, channels in, length)."""
    out, _, length = weight.shape
    windows = np.lib.stride_tricks.sliding_window_view(x, length, axis=0)[::step]
    count = len(windows)
    flat = weight.reshape(out, -1)
    rows = np.ascontiguousarray(windows).reshape(count, -1)

    def back(given: Array) -> Array:
        of_windows = (given @ flat).reshape(count, x.shape[1], length)
        found = np.zeros_like(x)
        for place in range(length):
            found[place : place + step * (count - 1) + 1 : step] += of_windows[:, :, place]
        return found

    return rows @ flat.T, back

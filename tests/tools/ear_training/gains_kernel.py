"""The filter's gains frame after frame as one Triton kernel."""

from __future__ import annotations

import torch
import triton
import triton.language as tl


@triton.jit
def _kernel(after, gains, frames, width, BLOCK: tl.constexpr):  # type: ignore[no-untyped-def]
    column = tl.program_id(1) * BLOCK + tl.arange(0, BLOCK)
    inside = column < width
    place = tl.program_id(0).to(tl.int64) * frames * width + column
    speech = tl.zeros((BLOCK,), tl.float32)
    for _ in range(frames):
        ratio = tl.load(after + place, mask=inside, other=0.0)
        prior = 0.9 * speech + 0.1 * tl.maximum(ratio - 1.0, 0.0)
        gain = tl.maximum(prior / (1.0 + prior), 0.25)
        speech = gain * gain * ratio
        tl.store(gains + place, gain, mask=inside)
        place += width


def gains(after: torch.Tensor) -> torch.Tensor:
    """Of ratios (B, frames, frequencies), float32."""
    after = after.float().contiguous()
    found = torch.empty_like(after)
    count, frames, width = after.shape
    _kernel[(count, triton.cdiv(width, 64))](after, found, frames, width, BLOCK=64)
    return found

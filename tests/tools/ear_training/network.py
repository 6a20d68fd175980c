"""The built-in recogniser's two networks in PyTorch, so that they can be trained.

Shapes: sound (B, samples) at 16 kHz; features (B, frames, 288), a frame for every 384 samples; tokens (B, length).
A batch holds sounds of one length: there is no padding and no mask.
"""

from __future__ import annotations

import torch
from torch import Tensor, nn
from torch.nn import functional

WIDTH, HEADS, LAYERS, VOCABULARY = 288, 8, 6, 32768
HEAD = WIDTH // HEADS
TURNED = 32
"""Dimensions of each head that are turned by place, in neighbouring pairs."""
EPSILON = 1e-5


class Norm(nn.Module):
    """Layer norm with a weight and no bias."""

    def __init__(self) -> None:
        super().__init__()
        self.weight = nn.Parameter(torch.ones(WIDTH))

    def forward(self, x: Tensor) -> Tensor:
        return functional.layer_norm(x, (WIDTH,), self.weight, None, EPSILON)


def turned(x: Tensor) -> Tensor:
    """``x`` (B, heads, length, head size) with its places written into it."""
    length = x.shape[2]
    rates = 10000.0 ** (-torch.arange(0, TURNED, 2, device=x.device, dtype=torch.float32) / TURNED)
    angles = torch.arange(length, device=x.device, dtype=torch.float32)[:, None] * rates
    cos, sin = angles.cos().to(x.dtype), angles.sin().to(x.dtype)
    first, second, rest = x[..., 0:TURNED:2], x[..., 1:TURNED:2], x[..., TURNED:]
    pairs = torch.stack([first * cos - second * sin, second * cos + first * sin], dim=-1)
    return torch.cat([pairs.flatten(-2), rest], dim=-1)


class Attention(nn.Module):
    """Attention without biases. ``places``: whether queries and keys know their places."""

    def __init__(self, *, places: bool, causal: bool = False) -> None:
        super().__init__()
        self.q_proj, self.k_proj, self.v_proj, self.o_proj = (nn.Linear(WIDTH, WIDTH, bias=False) for _ in range(4))
        self._places, self._causal = places, causal

    def forward(self, x: Tensor, source: Tensor) -> Tensor:
        query, key, value = (
            part.reshape(part.shape[0], part.shape[1], HEADS, HEAD).transpose(1, 2)
            for part in (self.q_proj(x), self.k_proj(source), self.v_proj(source))
        )
        if self._places:
            query, key = turned(query), turned(key)
        found = functional.scaled_dot_product_attention(query, key, value, is_causal=self._causal)
        return self.o_proj(found.transpose(1, 2).reshape(x.shape))


class Forward(nn.Module):
    """The encoder's feed-forward part."""

    def __init__(self) -> None:
        super().__init__()
        self.fc1, self.fc2 = nn.Linear(WIDTH, 4 * WIDTH), nn.Linear(4 * WIDTH, WIDTH)

    def forward(self, x: Tensor) -> Tensor:
        return self.fc2(functional.gelu(self.fc1(x)))


class GatedForward(nn.Module):
    """The decoder's feed-forward part."""

    def __init__(self) -> None:
        super().__init__()
        self.fc1, self.fc2 = nn.Linear(WIDTH, 8 * WIDTH), nn.Linear(4 * WIDTH, WIDTH)

    def forward(self, x: Tensor) -> Tensor:
        hidden, gate = self.fc1(x).chunk(2, dim=-1)
        return self.fc2(functional.silu(gate) * hidden)


class EncoderLayer(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.input_layernorm, self.self_attn = Norm(), Attention(places=True)
        self.post_attention_layernorm, self.mlp = Norm(), Forward()

    def forward(self, x: Tensor) -> Tensor:
        normed = self.input_layernorm(x)
        x = x + self.self_attn(normed, normed)
        return x + self.mlp(self.post_attention_layernorm(x))


class Encoder(nn.Module):
    """Sound to features."""

    def __init__(self) -> None:
        super().__init__()
        self.conv1 = nn.Conv1d(1, WIDTH, 127, 64, bias=False)
        self.groupnorm = nn.GroupNorm(1, WIDTH, EPSILON)
        self.conv2 = nn.Conv1d(WIDTH, 2 * WIDTH, 7, 3)
        self.conv3 = nn.Conv1d(2 * WIDTH, WIDTH, 3, 2)
        self.layers = nn.ModuleList(EncoderLayer() for _ in range(LAYERS))
        self.layer_norm = Norm()

    def forward(self, sound: Tensor) -> Tensor:
        x = self.groupnorm(torch.tanh(self.conv1(sound[:, None])))
        x = functional.gelu(self.conv3(functional.gelu(self.conv2(x)))).transpose(1, 2)
        for layer in self.layers:
            x = layer(x)
        return self.layer_norm(x)


class DecoderLayer(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.input_layernorm, self.self_attn = Norm(), Attention(places=True, causal=True)
        self.post_attention_layernorm, self.encoder_attn = Norm(), Attention(places=False)
        self.final_layernorm, self.mlp = Norm(), GatedForward()

    def forward(self, x: Tensor, features: Tensor) -> Tensor:
        normed = self.input_layernorm(x)
        x = x + self.self_attn(normed, normed)
        x = x + self.encoder_attn(self.post_attention_layernorm(x), features)
        return x + self.mlp(self.final_layernorm(x))


class Decoder(nn.Module):
    """Features and the tokens so far to states (B, length, 288), and those to the next token's logits."""

    def __init__(self) -> None:
        super().__init__()
        self.embed_tokens = nn.Embedding(VOCABULARY, WIDTH)
        self.layers = nn.ModuleList(DecoderLayer() for _ in range(LAYERS))
        self.norm = Norm()

    def forward(self, tokens: Tensor, features: Tensor) -> Tensor:
        x = self.embed_tokens(tokens)
        for layer in self.layers:
            x = layer(x, features)
        return self.norm(x)

    def logits(self, states: Tensor) -> Tensor:
        """Of the next token, (..., vocabulary)."""
        return functional.linear(states, self.embed_tokens.weight)

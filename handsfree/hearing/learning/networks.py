"""The built-in recogniser's two networks as far as learning needs them: forward, and the gradient back.

Only norms and biases of the encoder are learned; every other weight is fixed, so no gradient of it is made. The numbers
are those of the packaged files, without their rounding of what passes through.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from handsfree.hearing.builtin.decoder import LAYERS
from handsfree.hearing.learning.layers import Array, attended, convolved, gated, gelu, normed, normed_as_a_whole

Weights = Mapping[str, Array]


def learned_names() -> tuple[str, ...]:
    """The names of what is learned: norms and biases of the encoder."""
    inside = ("input_layernorm.weight", "post_attention_layernorm.weight", "mlp.fc1.bias", "mlp.fc2.bias")
    layers = [f"layers.{number}.{name}" for number in range(LAYERS) for name in inside]
    return ("groupnorm.weight", "groupnorm.bias", "conv2.bias", "conv3.bias", *layers, "layer_norm.weight")


def encoded(weights: Weights, sound: Array) -> tuple[Array, Callable[[Array], dict[str, Array]]]:
    """The features of a sound, (frames, width); back from their gradient to those of what is learned."""
    found: dict[str, Array] = {}
    x, _ = convolved(sound[:, None], weights["conv1.weight"], 64)
    x, back_norm = normed_as_a_whole(np.tanh(x), weights["groupnorm.weight"], weights["groupnorm.bias"])
    x, back_second = convolved(x, weights["conv2.weight"], 3)
    x, back_second_gelu = gelu(x + weights["conv2.bias"])
    x, back_third = convolved(x, weights["conv3.weight"], 2)
    x, back_third_gelu = gelu(x + weights["conv3.bias"])
    backs = []
    for number in range(LAYERS):
        x, back_layer = _encoder_layer(weights, f"layers.{number}.", x, found)
        backs.append(back_layer)
    features, back_last = normed(x, weights["layer_norm.weight"])

    def back(given: Array) -> dict[str, Array]:
        given, found["layer_norm.weight"] = back_last(given)
        for each in reversed(backs):
            given = each(given)
        given = back_third_gelu(given)
        found["conv3.bias"] = given.sum(axis=0)
        given = back_second_gelu(back_third(given))
        found["conv2.bias"] = given.sum(axis=0)
        found["groupnorm.weight"], found["groupnorm.bias"] = back_norm(back_second(given))
        return found

    return features, back


def _encoder_layer(
    weights: Weights, at: str, x: Array, found: dict[str, Array]
) -> tuple[Array, Callable[[Array], Array]]:
    def of(name: str) -> Array:
        return weights[at + name]

    inner, back_first = normed(x, of("input_layernorm.weight"))
    names = ("self_attn.q_proj.weight", "self_attn.k_proj.weight", "self_attn.v_proj.weight")
    mixed, back_attention = attended(*(inner @ of(name).T for name in names), places=True)
    x = x + mixed @ of("self_attn.o_proj.weight").T
    inner, back_second = normed(x, of("post_attention_layernorm.weight"))
    hidden, back_gelu = gelu(inner @ of("mlp.fc1.weight").T + of("mlp.fc1.bias"))
    x = x + hidden @ of("mlp.fc2.weight").T + of("mlp.fc2.bias")

    def back(given: Array) -> Array:
        found[at + "mlp.fc2.bias"] = given.sum(axis=0)
        of_hidden = back_gelu(given @ of("mlp.fc2.weight"))
        found[at + "mlp.fc1.bias"] = of_hidden.sum(axis=0)
        more, found[at + "post_attention_layernorm.weight"] = back_second(of_hidden @ of("mlp.fc1.weight"))
        given = given + more
        parts = back_attention(given @ of("self_attn.o_proj.weight"))
        of_inner = sum((part @ of(name) for part, name in zip(parts, names, strict=True)), np.float32(0))
        more, found[at + "input_layernorm.weight"] = back_first(np.asarray(of_inner, np.float32))
        return given + more

    return x, back


def foretold(weights: Weights, tokens: list[int], features: Array) -> tuple[Array, Callable[[Array], Array]]:
    """The decoder's states after each of ``tokens``, (tokens, width); back from their gradient to the features'."""
    x = weights["embed_tokens.weight"][tokens]
    backs = []
    for number in range(LAYERS):
        x, back_layer = _decoder_layer(weights, f"layers.{number}.", x, features)
        backs.append(back_layer)
    states, back_last = normed(x, weights["norm.weight"])

    def back(given: Array) -> Array:
        of_features = np.zeros_like(features)
        given, _ = back_last(given)
        for each in reversed(backs):
            given, more = each(given)
            of_features += more
        return of_features

    return states, back


def _decoder_layer(
    weights: Weights, at: str, x: Array, features: Array
) -> tuple[Array, Callable[[Array], tuple[Array, Array]]]:
    def of(name: str) -> Array:
        return weights[at + name]

    own = ("self_attn.q_proj.weight", "self_attn.k_proj.weight", "self_attn.v_proj.weight")
    inner, back_first = normed(x, of("input_layernorm.weight"))
    mixed, back_own = attended(*(inner @ of(name).T for name in own), places=True, causal=True)
    x = x + mixed @ of("self_attn.o_proj.weight").T
    inner, back_second = normed(x, of("post_attention_layernorm.weight"))
    key, value = of("encoder_attn.k_proj.weight"), of("encoder_attn.v_proj.weight")
    query = inner @ of("encoder_attn.q_proj.weight").T
    mixed, back_sound = attended(query, features @ key.T, features @ value.T, places=False)
    x = x + mixed @ of("encoder_attn.o_proj.weight").T
    inner, back_third = normed(x, of("final_layernorm.weight"))
    hidden, back_gate = gated(inner @ of("mlp.fc1.weight").T + of("mlp.fc1.bias"))
    x = x + hidden @ of("mlp.fc2.weight").T + of("mlp.fc2.bias")

    def back(given: Array) -> tuple[Array, Array]:
        given = given + back_third(back_gate(given @ of("mlp.fc2.weight")) @ of("mlp.fc1.weight"))[0]
        of_query, of_key, of_value = back_sound(given @ of("encoder_attn.o_proj.weight"))
        of_features = of_key @ key + of_value @ value
        given = given + back_second(of_query @ of("encoder_attn.q_proj.weight"))[0]
        parts = back_own(given @ of("self_attn.o_proj.weight"))
        of_inner = sum((part @ of(name) for part, name in zip(parts, own, strict=True)), np.float32(0))
        return given + back_first(np.asarray(of_inner, np.float32))[0], of_features

    return x, back

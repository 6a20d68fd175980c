"""The spoken language: one definition for recognisers, interpreter, cheat sheet and sampler."""

"""The recogniser for whoever has fetched a Vosk model, and the fetching.

- ``adapter``: the recogniser for whoever has fetched a Vosk model: light, and sure of nothing but the words.
- ``fetching``: fetching a model for the second recogniser: resumed, verified, unpacked safely, and nothing left half
  done.
- ``models``: where Vosk models are looked for, and which one is there.
"""

__all__ = ["adapter", "fetching", "models"]

"""Sound as it is: files, levels, and the devices that take it in and give it out.

- ``devices``: microphones and loudspeakers: how they are called, which one was chosen, and the library that reaches
  them.
- ``errors``: what can go wrong with sound, in words for the person at the bench.
- ``files``: sound from a file, as the recognisers want it.
- ``levels``: what a stretch of sound from a bench is like: how loud, how noisy, whether it hums or clips.
- ``networks``: networks on the engine that runs them, each file loaded once for all who use it.
- ``noise``: the steady noises of a bench, computed: by them hearing is tried, and learns what a voice is like in
  noise.
- ``samples``: mono sound in memory: its rate, its trimming and its loudness.
- ``weights``: the weights of networks that stand in installed packages: found without importing these, and known by
  their hash.
"""

__all__ = ["devices", "errors", "files", "levels", "networks", "noise", "samples", "weights"]

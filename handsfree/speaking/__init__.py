"""Speech and tones out.

- ``ahead``: the voice, begun before anybody asks for it.
- ``errors``: what can go wrong in speaking, in words for the person at the bench.
- ``recorder``: a speaker whose room is a recording: what it says lands on a time line, beside the voices that are
  added to it.
- ``speaker``: what the bench speaks through: the loudspeaker, printed lines or a sound file, all with the same few
  methods.
"""

__all__ = ["ahead", "errors", "recorder", "speaker"]

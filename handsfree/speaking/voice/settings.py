"""How fast and how loud to speak: a few steps each, and the sentence that answers a change."""

from __future__ import annotations

from handsfree.audio.samples import Samples
from handsfree.speaking.voice.presence import lifted
from handsfree.speaking.voice.synthesis import NORMAL_RATE

RATES = (110, 130, 150, NORMAL_RATE, 195, 225, 260, 300)
"""Words per minute."""

DECIBELS = (-18, -12, -6, 0, 6, 12, 18)
"""Steps of loudness; at 0 the voice is played as the engine gives it."""


QUIET_BENCH = -50.0
"""Noise, in dB below full scale at the microphone, up to which the voice stays as it is."""

NOISE_SHARE = 0.6
"""Decibels louder for each decibel of noise beyond that: what people do with their own voices, and a little more."""

MOST_LIFT = 6.0
"""Decibels by which the band of the consonants is raised, before the whole is: louder speech has more of it, too. More
was no better understood (40 figures in 5 dB of pink noise and of babble, two recognisers)."""
LEAST_BOOST, MOST_BOOST = 0.0, 12.0
"""Decibels: the limits between which loudness follows the noise after that."""

_STEADY = 2.0
"""Changes of the noise that ask for less than this (dB) are not followed: the voice would seem to waver."""


class VoiceSettings:
    """The present step of rate and of loudness: the part that all speakers share."""

    def __init__(self) -> None:
        self._rate = RATES.index(NORMAL_RATE)
        self._loudness = DECIBELS.index(0)
        self.boost = LEAST_BOOST
        """Decibels on top of the user's step, for the bench's noise."""
        self.lift = 0.0
        """Decibels in the band of the consonants, for the same."""

    @property
    def words_per_minute(self) -> int:
        """The rate to speak at."""
        return RATES[self._rate]

    @property
    def gain(self) -> float:
        """The factor that samples are multiplied by."""
        return float(10 ** ((DECIBELS[self._loudness] + self.boost) / 20))

    def follow_noise(self, noise: float | None) -> None:
        """Speak more clearly and then louder the noisier the bench is (dB below full scale at the microphone; None: not
        known)."""
        if noise is None:
            return
        most = MOST_LIFT + MOST_BOOST
        wanted = min(most, max(LEAST_BOOST, (noise - QUIET_BENCH) * NOISE_SHARE))
        if abs(wanted - self.lift - self.boost) >= _STEADY or wanted in (LEAST_BOOST, most):
            self.lift = min(wanted, MOST_LIFT)
            self.boost = max(LEAST_BOOST, wanted - MOST_LIFT)

    def shaped(self, samples: Samples) -> Samples:
        """Speech as it is to be played in the bench's noise, before its gain."""
        return lifted(samples, self.lift)

    def faster(self) -> str:
        """One step faster; what to say about it."""
        if self._rate == len(RATES) - 1:
            return "This is as fast as I can speak."
        self._rate += 1
        return "Faster."

    def slower(self) -> str:
        """One step slower; what to say about it."""
        if self._rate == 0:
            return "This is as slow as I can speak."
        self._rate -= 1
        return "Slower."

    def louder(self) -> str:
        """One step louder; what to say about it."""
        if self._loudness == len(DECIBELS) - 1:
            return "This is as loud as I can speak."
        self._loudness += 1
        return "Louder."

    def quieter(self) -> str:
        """One step quieter; what to say about it."""
        if self._loudness == 0:
            return "This is as quiet as I can speak."
        self._loudness -= 1
        return "Quieter."

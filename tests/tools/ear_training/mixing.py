"""What a bench does to a voice before it is heard, computed for a whole batch at once, on a GPU where there is one.

Every batch holds sounds of about one length, laid at random places into as much quiet as the recogniser is given
around an utterance. All draws come from one generator.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import torch
from torch import Tensor

RATE = 16_000
QUIET = 3e-4
"""Level of a quiet room's hiss, of full scale."""
LEAD = round(0.35 * RATE)
"""Samples of noise before the utterance that the filter against noise knows."""
FRAME, HOP, FLOOR, SMOOTHING, NOISY_BELOW = 512, 128, 0.25, 0.9, 18.0
"""The filter against noise: as in ``handsfree.hearing``."""
TAIL = 8_192
"""Samples of a room's answer."""

FORMANTS = (0.0, 500.0, 1200.0, 1900.0, 2600.0, 3300.0, 4000.0, 8000.0)
"""Frequencies (Hz) whose places another throat would move; what lies above the last but one stays."""
LIFTER = 40
"""Coefficients of the cepstrum that make up the envelope: below the period of a voice of 300 Hz."""

CORNERS = (0.0, 150.0, 300.0, 600.0, 1200.0, 2400.0, 3400.0, 4000.0, 5500.0, 8000.0)
"""Frequencies (Hz) between which gains run in straight lines."""


@dataclass(frozen=True)
class Settings:
    """How often and how strongly; shares of utterances unless said otherwise."""

    quiet: float = 0.17
    """Are left without noise."""
    least: float = -3.0
    most: float = 27.0
    """Signal-to-noise ratio in dB, drawn evenly between."""
    second: float = 0.25
    """Have a second noise, or other people's talk."""
    talk: float = 0.12
    """Of the noises are other voices."""
    revoiced: float = 0.5
    """Said with another throat: see ``_revoiced``."""
    longest_throat: float = 0.82
    shortest_throat: float = 1.22
    """By how much all formants move."""
    unlike: float = 0.06
    """By how much one may move beside the others (standard deviation)."""
    whispered: float = 0.06
    shouted: float = 0.04
    shaped: float = 0.55
    rooms: float = 0.5
    filtered: float = 0.5
    """Batches that go through the filter against noise, where they are noisy."""
    fastest: float = 1.2
    slowest: float = 0.84


class Mixer:
    """Noises, rooms and filters, ready on the device."""

    def __init__(self, noises: Tensor, generator: torch.Generator, settings: Settings | None = None) -> None:
        self.device = noises.device
        self.settings = settings or Settings()
        self._noises = noises
        self._generator = generator
        self._rooms = self._made_rooms(256)

    def uniform(self, *shape: int, low: float = 0.0, high: float = 1.0) -> Tensor:
        return torch.rand(*shape, device=self.device, generator=self._generator) * (high - low) + low

    def normal(self, *shape: int) -> Tensor:
        return torch.randn(*shape, device=self.device, generator=self._generator)

    def whole(self, high: int, *shape: int) -> Tensor:
        return torch.randint(high, shape, device=self.device, generator=self._generator)

    def _made_rooms(self, count: int) -> Tensor:
        """Spectra of rooms' answers: a direct sound, some early ones, a tail of noise that dies away."""
        time = torch.arange(TAIL, device=self.device) / RATE
        seconds = self.uniform(count, 1, low=0.06, high=0.55)
        tail = self.normal(count, TAIL) * torch.exp(-6.9 * time / seconds)
        tail *= (time > 0.002).float()
        ratio = 10 ** (self.uniform(count, 1, low=-2.0, high=16.0) / 20)
        answer = tail / tail.norm(dim=1, keepdim=True) / ratio
        answer[:, 0] += 1.0
        early = self.whole(round(0.03 * RATE), count, 4) + 16
        answer.scatter_add_(1, early, self.uniform(count, 4, low=-0.4, high=0.4))
        return answer / answer.norm(dim=1, keepdim=True)

    def placed(self, store: Tensor, starts: Tensor, lengths: Tensor, samples: int, speed: float) -> Tensor:
        """Sounds (B, samples) out of ``store``, each at a random place of its row, played at ``speed``."""
        wanted = round(samples * speed / 2) * 2
        room = (wanted - lengths).clamp(min=0)
        lead = torch.minimum((self.uniform(len(starts)) * room).long(), room)
        at = torch.arange(wanted, device=self.device)[None] - lead[:, None]
        inside = (at >= 0) & (at < lengths[:, None])
        sound = store[(starts[:, None] + at).clamp(0, len(store) - 1)].float() / 32768 * inside
        return sound if wanted == samples else resampled(sound, samples)

    def clean(self, sound: Tensor) -> Tensor:
        """As the unchanged network hears it best: one level, a quiet room."""
        return sound * 0.6 + QUIET * self.normal(*sound.shape)

    def heard(self, sound: Tensor, others: Tensor) -> Tensor:
        """``sound`` (B, samples) as it is heard at a bench; ``others`` (B, samples) are voices for talk around it."""
        settings, count, samples = self.settings, *sound.shape
        sound = self._in_style(self._revoiced(sound))
        size = samples + TAIL
        spectrum = torch.fft.rfft(sound, size) * self._gains(count, size)
        rooms = self._rooms[self.whole(len(self._rooms), count)]
        rooms = torch.fft.rfft(rooms, size)
        dry = self.uniform(count, 1) >= settings.rooms
        sound = torch.fft.irfft(torch.where(dry, spectrum, spectrum * rooms), size)[:, :samples]
        shouted = self.uniform(count, 1) < settings.shouted
        loud = (
            sound / sound.abs().amax(1, keepdim=True).clamp(min=1e-6) * self.uniform(count, 1, low=1.5, high=4)
        ).clamp(-1, 1)
        sound = torch.where(shouted, loud, sound)
        peak = sound.abs().amax(1, keepdim=True)
        sound = torch.where(peak > 1e-6, sound / peak.clamp(min=1e-6) * 0.5, sound)
        speech = torch.where(peak > 1e-6, loud_level(sound), torch.full_like(peak, 0.07))

        filtered = bool(torch.rand((), device="cpu") < settings.filtered)
        lead = LEAD if filtered else 0
        noise = self._noise(count, samples + lead, others)
        ratio = self.uniform(count, 1, low=settings.least, high=settings.most)
        ratio = torch.where(self.uniform(count, 1) < settings.quiet, ratio + 35.0, ratio)
        level = speech / 10 ** (ratio / 20) / noise.square().mean(1, keepdim=True).sqrt().clamp(min=1e-6)
        hiss = 10 ** self.uniform(count, 1, low=-4.2, high=-3.2)
        noise = noise * level + self.normal(*noise.shape) * hiss
        mixed = noise[:, lead:] + sound
        if filtered:
            before = noise[:, :lead]
            power = before.square().mean(1, keepdim=True)
            found = 10 * torch.log10((loud_level(mixed).square() - power).clamp(min=1e-12) / power)
            mixed = torch.where(found < NOISY_BELOW, wiener(mixed, before), mixed)
        gain = torch.exp(self.uniform(count, 1, low=math.log(0.08), high=math.log(1.6)))
        return (mixed * gain).clamp(-1, 1)

    def _revoiced(self, sound: Tensor) -> Tensor:
        """Some of the rows as another throat says them: the envelope of the spectrum moved, the pitch as it is."""
        settings = self.settings
        rows = torch.nonzero(self.uniform(len(sound)) < settings.revoiced)[:, 0]
        if not len(rows):
            return sound
        window = torch.hann_window(FRAME, device=self.device).sqrt()
        spectra = torch.stft(sound[rows], FRAME, HOP, window=window, return_complex=True)
        bins = spectra.shape[1]
        level = torch.log(spectra.abs() + 1e-4)
        cepstrum = torch.fft.irfft(level, FRAME, dim=1)
        keep = torch.zeros(FRAME, device=self.device)
        keep[:LIFTER] = keep[1 - LIFTER :] = 1.0
        envelope = torch.fft.rfft(cepstrum * keep[None, :, None], dim=1).real
        places = self._throats(len(rows)) * (bins - 1) / 8000
        below = places.floor().clamp(0, bins - 2)
        share = (places - below)[:, :, None]
        index = below.long()[:, :, None].expand(-1, -1, envelope.shape[2])
        moved = envelope.gather(1, index) * (1 - share) + envelope.gather(1, index + 1) * share
        gains = torch.exp((moved - envelope).clamp(-4.0, 4.0))
        changed = torch.istft(spectra * gains, FRAME, HOP, window=window, length=sound.shape[1])
        return sound.index_copy(0, rows, changed)

    def _throats(self, count: int) -> Tensor:
        """Where throats (rows) take the envelope at each frequency from in a voice's spectrum (Hz)."""
        settings = self.settings
        marks = torch.tensor(FORMANTS, device=self.device)
        throat = torch.exp(
            self.uniform(count, 1, low=math.log(settings.longest_throat), high=math.log(settings.shortest_throat))
        )
        alone = 1 + settings.unlike * self.normal(count, len(FORMANTS)).clamp(-2, 2)
        sources = marks / throat * alone
        sources[:, 0], sources[:, -2:] = 0.0, marks[-2:]
        # What the formants are moved to keeps their order, and ends below where nothing is moved.
        sources = sources.clamp(max=FORMANTS[-2] - 50.0).cummax(1).values
        sources[:, -2:] = marks[-2:]
        frequencies = torch.linspace(0, 8000, FRAME // 2 + 1, device=self.device)
        upper = torch.bucketize(frequencies, marks).clamp(1, len(FORMANTS) - 1)
        share = (frequencies - marks[upper - 1]) / (marks[upper] - marks[upper - 1])
        return sources[:, upper - 1] * (1 - share) + sources[:, upper] * share

    def _in_style(self, sound: Tensor) -> Tensor:
        """Some of the rows whispered: their spectra, frame by frame, on noise in place of the pitch."""
        rows = torch.nonzero(self.uniform(len(sound)) < self.settings.whispered)[:, 0]
        if not len(rows):
            return sound
        window = torch.hann_window(FRAME, device=self.device).sqrt()
        chosen = sound[rows]
        spectra = torch.stft(chosen, FRAME, HOP, window=window, return_complex=True)
        kernel = torch.hann_window(11, periodic=False, device=self.device)[1:-1]
        smooth = (
            torch.nn.functional.conv1d(
                spectra.abs().transpose(1, 2).reshape(-1, 1, FRAME // 2 + 1),
                (kernel / kernel.sum())[None, None],
                padding=4,
            )
            .reshape(len(rows), -1, FRAME // 2 + 1)
            .transpose(1, 2)
        )
        phases = self.uniform(*smooth.shape, high=2 * math.pi)
        low = torch.linspace(0, 8000, FRAME // 2 + 1, device=self.device)[None, :, None]
        tilt = 10 ** (-(1 - low / 1000).clamp(min=0) * self.uniform(len(rows), 1, 1, low=8, high=20) / 20)
        whisper = torch.istft(torch.polar(smooth * tilt, phases), FRAME, HOP, window=window, length=sound.shape[1])
        return sound.index_copy(0, rows, whisper)

    def _gains(self, count: int, size: int) -> Tensor:
        """Gains of a microphone, a mask, ear defenders or a telephone for each row (B, frequencies)."""
        corners = torch.tensor(CORNERS, device=self.device)
        steps = len(CORNERS)
        free = self.normal(count, steps) * self.uniform(count, 1, low=0, high=5)
        high = corners / 8000
        mask = -self.uniform(count, 1, low=4, high=16) * ((corners - 1200) / 6800).clamp(min=0) ** 0.6
        defenders = self.uniform(count, 1, low=2, high=9) * (corners <= 300) - self.uniform(
            count, 1, low=8, high=26
        ) * high ** self.uniform(count, 1, low=0.5, high=1.0)
        low_cut = -self.uniform(count, 1, low=5, high=25) * (1 - corners / 600).clamp(min=0)
        telephone = torch.where(corners >= 4000, -70.0, torch.where(corners < 250, -15.0, 0.0)).expand(count, steps)
        kind = self.uniform(count, 1) / max(self.settings.shaped, 1e-6)
        decibels = torch.zeros(count, steps, device=self.device)
        for bound, gains in ((1.0, telephone), (0.78, mask), (0.6, defenders), (0.42, low_cut), (0.3, free)):
            decibels = torch.where(kind < bound, gains, decibels)
        place = torch.linspace(0, 8000, size // 2 + 1, device=self.device)
        upper = torch.bucketize(place, corners).clamp(1, steps - 1)
        share = (place - corners[upper - 1]) / (corners[upper] - corners[upper - 1])
        return 10 ** ((decibels[:, upper - 1] * (1 - share) + decibels[:, upper] * share) / 20)

    def _noise(self, count: int, samples: int, others: Tensor) -> Tensor:
        """Noise of unit level, once in a while two of it, or voices."""
        first = self._piece(count, samples)
        second = self._piece(count, samples)
        shape = self.uniform(count, 1, low=0.2, high=1.0)
        both = torch.where(self.uniform(count, 1) < self.settings.second, first + shape * second, first)
        voices = torch.zeros_like(first)
        for shift in (1, 2, 3):
            other = others.roll(shift, 0)
            voices += other.repeat(1, samples // other.shape[1] + 1)[:, :samples] * self.uniform(count, 1, low=0.2)
        return torch.where(self.uniform(count, 1) < self.settings.talk, unit(voices) + 0.1 * first, both)

    def _piece(self, count: int, samples: int) -> Tensor:
        length = self._noises.shape[1]
        rows = self.whole(len(self._noises), count)
        start = self.whole(length, count)
        at = (torch.arange(samples, device=self.device)[None] + start[:, None]) % length
        return unit(self._noises[rows[:, None], at].float())


def unit(sound: Tensor) -> Tensor:
    """At a root mean square of one."""
    return sound / sound.square().mean(1, keepdim=True).sqrt().clamp(min=1e-6)


def resampled(sound: Tensor, samples: int) -> Tensor:
    """``sound`` squeezed or stretched to so many samples."""
    spectrum = torch.fft.rfft(sound)
    bins = samples // 2 + 1
    if bins <= spectrum.shape[1]:
        spectrum = spectrum[:, :bins]
    else:
        spectrum = torch.nn.functional.pad(spectrum, (0, bins - spectrum.shape[1]))
    return torch.fft.irfft(spectrum, samples) * (samples / sound.shape[1])


def loud_level(sound: Tensor) -> Tensor:
    """Root mean square (B, 1) of the louder half of the 20 ms frames."""
    size = RATE // 50
    frames = sound[:, : sound.shape[1] // size * size].reshape(len(sound), -1, size).square().mean(2)
    top = frames.sort(dim=1).values[:, frames.shape[1] // 2 :]
    return top.mean(1, keepdim=True).sqrt()


def _gains(after: Tensor) -> Tensor:
    """The filter's gains, frame after frame, from the ratio of each to the noise (B, frames, frequencies)."""
    fresh = ((after - 1).clamp(min=0) * (1 - SMOOTHING)).unbind(1)
    speech = torch.zeros_like(after[:, 0])
    gains = []
    for ratio, new in zip(after.unbind(1), fresh, strict=True):
        prior = torch.add(new, speech, alpha=SMOOTHING)
        gain = (prior / (1 + prior)).clamp(min=FLOOR)
        speech = gain.square() * ratio
        gains.append(gain)
    return torch.stack(gains, 1)


def _compiled_gains() -> Callable[[Tensor], Tensor] | None:
    """The same in one kernel, where Triton is there: three thousand small steps would take longer than the training."""
    try:
        from .gains_kernel import gains
    except ImportError:
        return None
    return gains


_gains_on_gpu = _compiled_gains() if torch.cuda.is_available() else None


def wiener(sound: Tensor, noise: Tensor) -> Tensor:
    """``handsfree.hearing.denoise.wiener`` for a batch."""
    window = torch.hann_window(FRAME, device=sound.device).sqrt()

    def spectra(x: Tensor) -> Tensor:
        return torch.fft.rfft(x.unfold(1, FRAME, HOP) * window)

    power = spectra(noise).abs().square().mean(1, keepdim=True) + 1e-12
    length = sound.shape[1] + 2 * FRAME
    found = spectra(torch.nn.functional.pad(sound, (FRAME, FRAME)))
    after = found.abs().square() / power
    gains = _gains_on_gpu(after) if after.is_cuda and _gains_on_gpu is not None else _gains(after)
    frames = torch.fft.irfft(found * gains, FRAME) * window
    folded = torch.nn.functional.fold(
        frames.transpose(1, 2), (1, (frames.shape[1] - 1) * HOP + FRAME), (1, FRAME), stride=(1, HOP)
    )[:, 0, 0]
    folded = torch.nn.functional.pad(folded, (0, max(0, length - folded.shape[1])))
    return folded[:, FRAME : FRAME + sound.shape[1]] * (2 * HOP / FRAME)

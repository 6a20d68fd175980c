"""Trains the encoder: ``python -m tests.tools.ear_training.train --help``.

The decoder stays as it is. What is learned, for every sound in noise: the frozen network's distribution of each next
token on the clean sound (Kullback-Leibler), the frozen encoder's features on it (mean square), and, where the words are
known and a bench's, the words themselves (cross-entropy). Talk is held only by the first two, along the frozen
network's own reading, so that talk stays talk.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from handsfree.hearing.builtin.tokens import Tokenizer
from handsfree.hearing.learning.lessons import spellings

from .casting import WHO
from .mixing import RATE, Mixer, Settings
from .network import Decoder, Encoder
from .packaged import Arrays, as_floats, load_compact

START, END = 1, 2
LONGEST_READING = 32
BUCKET = 0.25
"""Seconds by which the lengths within a batch may differ, played at the usual speed."""
WRITTEN = ("bench", "words", "digits", "figures")
"""Kinds of which the words are learned."""
SPELT_OUT = ("digits", "figures")
"""Kinds that are digits one by one."""
ALTERNATIVES = 4
"""Other strings of digits that each is told from."""
TOLD_APART = 64
"""Rows of a batch, at most, that are told from others."""


@dataclass(frozen=True)
class Losses:
    """Weights of what is learned."""

    kl: float = 1.0
    words: float = 0.5
    features: float = 2.0
    kl_talk: float = 1.5
    features_talk: float = 3.0
    """The same for talk."""
    kl_digits: float = 0.3
    words_digits: float = 1.0
    features_digits: float = 1.0
    """The same for digits: of a stranger's, said alone, the frozen network is often wrong itself."""
    apart: float = 0.5
    """By how much a string of digits is likelier than others like it."""


SHARES = {
    "bench": 0.25, "figures": 0.22, "digits": 0.26, "words": 0.04, "general": 0.07, "people": 0.13, "none": 0.03,
}  # fmt: skip
NEURAL = 3
"""A sound by a neural voice's made-up speaker is drawn so many times as often as another of its kind."""


def load(module: torch.nn.Module, arrays: Arrays) -> torch.nn.Module:
    """``module`` with these weights; says which are missing."""
    module.load_state_dict({name: torch.from_numpy(array) for name, array in as_floats(arrays).items()})
    return module


def save(path: Path, state: dict[str, Tensor]) -> None:
    """16-bit floats, all at once: a run that is cut short leaves the last whole file."""
    part = path.with_name(f"{path.stem}.part.npz")
    np.savez(part, **{name: value.detach().cpu().numpy().astype(np.float16) for name, value in state.items()})
    part.replace(path)


CONFUSED = {
    "zero": ("three", "seven", "nine"), "oh": ("four", "one", "eight"), "one": ("five", "nine", "four"),
    "two": ("three", "eight", "six"), "three": ("eight", "two", "six"), "four": ("five", "oh", "one"),
    "five": ("nine", "one", "four"), "six": ("eight", "three", "two"), "seven": ("nine", "five", "one"),
    "eight": ("three", "six", "two"), "nine": ("five", "one", "four"),
}  # fmt: skip
"""What each digit is taken for most easily."""


def alternatives(words: str, rng: random.Random) -> list[str]:
    """``ALTERNATIVES`` strings that ``words`` might be taken for: a digit another, one more, or one less."""
    parts = words.split()
    places = [place for place, word in enumerate(parts) if word in CONFUSED]
    found: list[str] = []
    for number in range(ALTERNATIVES):
        other = list(parts)
        if not places or number == ALTERNATIVES - 1:
            place = rng.randrange(len(parts))
            if len(parts) > 1 and rng.random() < 0.5:
                del other[place]
            else:
                other.insert(place, rng.choice([word for word in CONFUSED if word != "oh"]))
        else:
            place = rng.choice(places)
            near = CONFUSED[parts[place]] if number else tuple(w for w in CONFUSED if w not in ("zero", "oh"))
            other[place] = rng.choice([word for word in near if word != parts[place]])
        found.append(" ".join(other))
    return found


class Material:
    """The sounds on the device, and what is to be learned along each."""

    def __init__(self, folder: Path, device: torch.device, without: str) -> None:
        entries = json.loads((folder / "index.json").read_text(encoding="utf-8"))
        raw = np.fromfile(folder / "sounds.raw", np.int16)
        self.sounds = torch.from_numpy(raw).to(device)
        self.noises = torch.from_numpy(np.load(folder / "noises.npy")).to(device)
        self.device = device
        self.entries: list[dict[str, Any]] = entries
        self.starts = torch.tensor([each["start"] for each in entries], device=device)
        self.lengths = torch.tensor([each["length"] for each in entries], device=device)
        self.kinds = [each["kind"] for each in entries]
        self.tokens = torch.full((len(entries), LONGEST_READING + 2), END, device=device)
        """Start, the reading, the end; beyond it the end again."""
        self.counts = torch.zeros(len(entries), dtype=torch.long, device=device)
        """Tokens to be foretold: the reading and the end. Of 0 the sound is left out."""
        strangers = [each["kind"] == "digits" and each["who"] in without for each in entries]
        held_out = [each["held_out"] for each in entries]
        self.judged = [i for i, out in enumerate(held_out) if out or (strangers[i] and i % 8 == 0)]
        self.trained = [i for i, out in enumerate(held_out) if not out and not strangers[i]]
        self.others = torch.full((len(entries), ALTERNATIVES, LONGEST_READING + 2), END, device=device)
        """Of strings of digits: others, as they are spelled (see ``alternatives``)."""
        self.other_counts = torch.zeros(len(entries), ALTERNATIVES, dtype=torch.long, device=device)

    def batches(self, chosen: list[int], size: int) -> list[tuple[list[int], int]]:
        """``chosen`` by length, with the samples in which a batch is laid."""
        ordered = sorted(chosen, key=lambda i: self.entries[i]["length"])
        found = []
        for at in range(0, len(ordered), size):
            part = ordered[at : at + size]
            longest = self.entries[part[-1]]["length"] / RATE
            found.append((part, round((math.ceil(longest / BUCKET) * BUCKET + 0.5) * RATE)))
        return found


class Trainer:
    """One training."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        self.device = torch.device(arguments.device)
        torch.manual_seed(arguments.seed)
        torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
        self.arguments = arguments
        self.losses = Losses(
            words=arguments.words,
            kl_talk=arguments.kl_talk,
            features_talk=arguments.features_talk,
            kl_digits=arguments.kl_digits,
            words_digits=arguments.words_digits,
            apart=arguments.apart,
        )
        base: Path = arguments.base
        self.teacher = load(Encoder(), load_compact(base / "encoder.npz")).to(self.device).eval().requires_grad_(False)
        self.decoder = load(Decoder(), load_compact(base / "decoder.npz")).to(self.device).eval().requires_grad_(False)
        self.student = load(Encoder(), load_compact(arguments.begin or base / "encoder.npz")).to(self.device)
        self.material = Material(arguments.material, self.device, arguments.without)
        self.written = torch.tensor([kind in WRITTEN for kind in self.material.kinds], device=self.device)
        self.spelt_out = torch.tensor([kind in SPELT_OUT for kind in self.material.kinds], device=self.device)
        generator = torch.Generator(self.device).manual_seed(arguments.seed)
        settings = Settings(least=arguments.least)
        self.mixer = Mixer(self.material.noises, generator, settings)
        self.rng = np.random.default_rng(arguments.seed)
        self.alternating = random.Random(arguments.seed)
        self.say(f"{len(self.material.entries)} sounds, {len(self.material.judged)} held out")

    def say(self, text: str) -> None:
        print(f"[{self.arguments.name} {time.time() - BEGAN:5.0f} s] {text}", flush=True)

    def cast(self) -> torch.autocast:
        return torch.autocast(self.device.type, torch.bfloat16, enabled=self.device.type == "cuda")

    def target(self) -> None:
        """Finds what is to be learned along each sound: the likeliest spelling, or the frozen network's reading."""
        tokenizer = Tokenizer.from_file(self.arguments.base / "tokenizer.bin")
        material = self.material
        every = material.trained + material.judged
        written = [i for i in every if material.kinds[i] in WRITTEN]
        with torch.no_grad(), self.cast():
            for part, samples in material.batches(written, 384):
                features = self.teacher(self.clean(part, samples))
                forms = [spellings(material.entries[i]["words"]) for i in part]
                best, which = torch.full((len(part),), -math.inf, device=self.device), [0] * len(part)
                encoded = [[tokenizer.encode(" " + form) for form in each] for each in forms]
                for number in range(max(map(len, encoded))):
                    rows = [row for row, each in enumerate(encoded) if number < len(each)]
                    tokens, counts = self.padded([encoded[row][number] for row in rows])
                    found = self.log_probabilities(features[rows], tokens, counts)
                    better = found > best[rows]
                    for row, better_one, value in zip(rows, better.tolist(), found.tolist(), strict=True):
                        if better_one:
                            best[row], which[row] = value, number
                chosen, counts = self.padded([each[pick] for each, pick in zip(encoded, which, strict=True)])
                self.set(part, chosen, counts)
                self.set_others(part, forms, which, tokenizer)
            self.say(f"{len(written)} spelled")
            others = [i for i in every if material.kinds[i] not in WRITTEN]
            for part, samples in material.batches(others, 384):
                self.set(part, *self.readings(self.teacher(self.clean(part, samples))))
        self.say(f"{len(others)} read")
        for kind in ("people", "general", "none", "digits"):
            those = [i for i in others + written if material.kinds[i] == kind][:400:100]
            for i in those:
                text = tokenizer.decode(material.tokens[i, 1 : 1 + int(material.counts[i])].tolist())
                self.say(f"  {kind}: {text!r} ({material.entries[i]['words']})")

    def set_others(self, part: list[int], forms: list[list[str]], which: list[int], tokenizer: Tokenizer) -> None:
        """For strings of digits, others, spelled in the same way."""
        rows = [row for row, i in enumerate(part) if self.material.kinds[i] in SPELT_OUT]
        if not rows:
            return
        encoded = []
        for row in rows:
            place = which[row] / len(forms[row])
            for words in alternatives(self.material.entries[part[row]]["words"], self.alternating):
                written = spellings(words)
                encoded.append(tokenizer.encode(" " + written[int(place * len(written))]))
        tokens, counts = self.padded(encoded)
        index = torch.tensor([part[row] for row in rows], device=self.device)
        self.material.others[index, :, : tokens.shape[1]] = tokens.view(len(rows), ALTERNATIVES, -1)
        self.material.other_counts[index] = counts.view(len(rows), ALTERNATIVES)

    def clean(self, part: list[int], samples: int) -> Tensor:
        index = torch.tensor(part, device=self.device)
        material = self.material
        placed = self.mixer.placed(material.sounds, material.starts[index], material.lengths[index], samples, 1.0)
        return self.mixer.clean(placed)

    def padded(self, readings: list[tuple[int, ...]]) -> tuple[Tensor, Tensor]:
        rows = [[START, *each[:LONGEST_READING], END] for each in readings]
        longest = max(map(len, rows))
        tokens = torch.tensor([[*row, *[END] * (longest - len(row))] for row in rows], device=self.device)
        return tokens, torch.tensor([len(row) - 1 for row in rows], device=self.device)

    def set(self, part: list[int], tokens: Tensor, counts: Tensor) -> None:
        index = torch.tensor(part, device=self.device)
        self.material.tokens[index, : tokens.shape[1]] = tokens
        self.material.counts[index] = counts

    def log_probabilities(self, features: Tensor, tokens: Tensor, counts: Tensor) -> Tensor:
        """Of each row's tokens after the start."""
        logits = self.decoder.logits(self.decoder(tokens[:, :-1], features)).float()
        found = -functional.cross_entropy(logits.transpose(1, 2), tokens[:, 1:], reduction="none")
        inside = torch.arange(found.shape[1], device=self.device)[None] < counts[:, None]
        return (found * inside).sum(1)

    def readings(self, features: Tensor) -> tuple[Tensor, Tensor]:
        """What the decoder writes of itself, the likeliest token at each place."""
        tokens = torch.full((len(features), 1), START, device=self.device)
        done = torch.zeros(len(features), dtype=torch.bool, device=self.device)
        for _ in range(LONGEST_READING):
            following = self.decoder.logits(self.decoder(tokens, features)[:, -1]).argmax(-1)
            following = torch.where(done, END, following)
            tokens = torch.cat([tokens, following[:, None]], 1)
            done |= following == END
            if bool(done.all()):
                break
        tokens = torch.cat([tokens, torch.full((len(features), 1), END, device=self.device)], 1)
        counts = (tokens[:, 1:] != END).sum(1) + 1
        # A reading that never ends is no reading.
        return tokens[:, : LONGEST_READING + 2], torch.where(done, counts, 0)

    def losses_of(
        self, index: Tensor, samples: int, speed: float, mixer: Mixer
    ) -> tuple[Tensor, Tensor, Tensor, Tensor, Tensor]:
        """Kullback-Leibler, cross-entropy (both for each token), features (each row), all right (each row), and
        how little likelier strings of digits are than others (each of some rows).
        """
        material = self.material
        placed = mixer.placed(material.sounds, material.starts[index], material.lengths[index], samples, speed)
        others = placed[torch.randperm(len(placed), device=self.device)]
        heard = mixer.heard(placed, others)
        counts = material.counts[index]
        tokens = material.tokens[index, : int(counts.max()) + 1]
        inside = torch.arange(tokens.shape[1] - 1, device=self.device)[None] < counts[:, None]
        with self.cast():
            with torch.no_grad():
                wanted = self.teacher(mixer.clean(placed))
                teaching = self.decoder.logits(self.decoder(tokens[:, :-1], wanted)[inside])
            features = self.student(heard)
            logits = self.decoder.logits(self.decoder(tokens[:, :-1], features)[inside])
        log_p, log_q = teaching.float().log_softmax(-1), logits.float().log_softmax(-1)
        kl = (log_p.exp() * (log_p - log_q)).sum(-1)
        truth = tokens[:, 1:][inside]
        words = -log_q.gather(1, truth[:, None])[:, 0]
        with torch.no_grad():
            missed = torch.zeros(inside.shape, device=self.device)
            missed[inside] = (log_q.argmax(-1) != truth).float()
        distance = (features.float() - wanted.float()).square().mean((1, 2))
        its = torch.zeros(inside.shape, device=self.device)
        its = its.masked_scatter(inside, -words).sum(1)
        return kl, words, distance, missed.sum(1) == 0, self.apart(index, features, its)

    def apart(self, index: Tensor, features: Tensor, its: Tensor) -> Tensor:
        """Minus the log probability of strings of digits among them and others (each of some rows).

        Halved logarithms: what is twice as likely as all others together is not yet sure enough.
        """
        rows = torch.nonzero(self.spelt_out[index])[:TOLD_APART, 0]
        counts = self.material.other_counts[index[rows]]
        longest = int(counts.max()) if len(rows) else 0
        tokens = self.material.others[index[rows], :, : longest + 1]
        if not longest:
            return torch.zeros(1, device=self.device)
        with self.cast():
            found = self.log_probabilities(
                features[rows].repeat_interleave(ALTERNATIVES, 0), tokens.flatten(0, 1), counts.flatten()
            )
        every = torch.cat([its[rows, None], found.view(len(rows), ALTERNATIVES)], 1)
        return -(0.5 * every).log_softmax(1)[:, 0]

    def lengths(self) -> dict[int, tuple[Tensor, Tensor, int]]:
        """By length: the sounds, how often each is drawn against the others, and how many make a batch."""
        material = self.material
        kinds = [material.kinds[i] for i in material.trained]
        counts = {kind: kinds.count(kind) for kind in SHARES}
        usable = (material.counts > 0).tolist()
        buckets: dict[int, list[int]] = {}
        for i in material.trained:
            if usable[i]:
                buckets.setdefault(math.ceil(material.entries[i]["length"] / RATE / BUCKET), []).append(i)

        def share(i: int) -> float:
            often = NEURAL if material.entries[i]["who"] == WHO else 1
            return often * SHARES[material.kinds[i]] / counts[material.kinds[i]]

        return {
            key: (
                torch.tensor(buckets[key], device=self.device),
                torch.tensor([share(i) for i in buckets[key]], device=self.device),
                # Of long sounds fewer are in a batch.
                max(4, int(self.arguments.batch / (key * BUCKET + 0.6))),
            )
            for key in sorted(buckets)
        }

    def loss(self, chosen: Tensor, samples: int, speed: float) -> tuple[Tensor, tuple[Tensor, ...]]:
        """What a step makes smaller, and its parts: Kullback-Leibler, the words, the features, told apart."""
        kl, words, distance, _, apart = self.losses_of(chosen, samples, speed, self.mixer)
        known, spelt = self.written[chosen], self.spelt_out[chosen]
        each, digits = (rows.repeat_interleave(self.material.counts[chosen]) for rows in (known, spelt))
        weights, count = self.losses, max(len(kl), 1)

        def weighing(digit: float, written: float, talk: float, these: Tensor, those: Tensor) -> Tensor:
            return torch.where(these, digit, torch.where(those, written, talk))

        loss = (kl * weighing(weights.kl_digits, weights.kl, weights.kl_talk, digits, each)).sum() / count
        loss = loss + (words * weighing(weights.words_digits, weights.words, 0.0, digits, each)).sum() / count
        far = weighing(weights.features_digits, weights.features, weights.features_talk, spelt, known)
        loss = loss + (distance * far).mean() + weights.apart * apart.sum() / len(chosen)
        return loss, (kl.mean(), (words * each).sum() / each.sum().clamp(min=1), distance.mean(), apart.mean())

    def run(self) -> None:
        arguments = self.arguments
        self.target()
        lengths = self.lengths()
        keys = list(lengths)
        odds = np.array([float(weight.sum()) / size for _, weight, size in lengths.values()])
        rates = torch.optim.AdamW(self.student.parameters(), arguments.rate, (0.9, 0.98), weight_decay=0.01)
        average = {name: value.detach().clone() for name, value in self.student.state_dict().items()}
        self.judge()
        began = last_saved = last_judged = time.time()
        seconds = max(1.0, arguments.deadline - began) if arguments.deadline else arguments.seconds
        step, sums = 0, np.zeros(5)
        while True:
            progress = (time.time() - began) / seconds if not arguments.steps else step / arguments.steps
            if progress >= 1:
                break
            for group in rates.param_groups:
                group["lr"] = arguments.rate * min(1.0, (step + 1) / 300) * 0.5 * (1 + math.cos(math.pi * progress))
            key = keys[self.rng.choice(len(keys), p=odds / odds.sum())]
            index, weight, size = lengths[key]
            chosen = index[torch.multinomial(weight, size, replacement=True)]
            samples = round((key * BUCKET + float(self.rng.choice((0.5, 0.75)))) * RATE)
            speed = 1.0 if self.rng.random() < 0.3 else float(self.rng.choice(np.linspace(0.84, 1.2, 10)))
            # Played slower, the sound is longer than the batch: give it the room.
            samples = round(samples / min(1.0, speed) / 3200) * 3200
            loss, means = self.loss(chosen, samples, speed)
            rates.zero_grad(set_to_none=True)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(self.student.parameters(), 1.0)
            rates.step()
            step += 1
            with torch.no_grad():
                share = min(arguments.average, (1 + step) / (10 + step))
                for name, value in self.student.state_dict().items():
                    average[name].lerp_(value, 1 - share)
                if step % 20 == 0:
                    sums += [*map(float, means), 1]
            if step % 400 == 0 or (step < 400 and step % 100 == 0):
                kl, words, features, apart, _ = sums / max(sums[4], 1)
                spent = 1000 * (time.time() - began) / step
                losses = f"KL {kl:.3f} words {words:.3f} features {features:.4f} apart {apart:.3f}"
                self.say(f"{step} steps ({spent:.0f} ms): {losses}")
                sums[:] = 0
            if time.time() - last_saved > arguments.every:
                save(arguments.out / f"{arguments.name}.npz", self.student.state_dict())
                last_saved = time.time()
            if time.time() - last_judged > arguments.judge_every:
                self.judge()
                last_judged = time.time()
        save(arguments.out / f"{arguments.name}.npz", self.student.state_dict())
        save(arguments.out / f"{arguments.name}-average.npz", average)
        self.say(f"{step} steps, saved")
        self.judge()

    @torch.no_grad()
    def judge(self) -> None:
        """How the sounds that were held out are heard, clean and in noise."""
        material = self.material
        plain = Settings(revoiced=0, whispered=0, shouted=0, shaped=0, rooms=0)
        for title, settings in (
            ("clean", replace(plain, quiet=1.0, least=10, filtered=0)),
            ("8 dB", replace(plain, quiet=0.0, least=8, most=8, filtered=1)),
        ):
            generator = torch.Generator(self.device).manual_seed(7)
            mixer = Mixer(material.noises, generator, settings)
            totals: dict[str, np.ndarray[Any, Any]] = {}
            usable = [i for i in material.judged if int(material.counts[i])]
            for part, samples in material.batches(usable, 96):
                index = torch.tensor(part, device=self.device)
                kl, words, _, right, _ = self.losses_of(index, samples, 1.0, mixer)
                owner = torch.arange(len(part), device=self.device).repeat_interleave(material.counts[index])
                for row, i in enumerate(part):
                    entry = material.entries[i]
                    name = f"digits {entry['who']}" if entry["kind"] == "digits" else entry["kind"]
                    its = owner == row
                    totals.setdefault(name, np.zeros(5))
                    totals[name] += [
                        1,
                        float(right[row]),
                        float(kl[its].sum()),
                        float(words[its].sum()),
                        float(its.sum()),
                    ]
            line = "; ".join(
                f"{name} {100 * t[1] / t[0]:.0f} % KL {t[2] / t[4]:.2f} CE {t[3] / t[4]:.2f} ({t[0]:.0f})"
                for name, t in sorted(totals.items())
            )
            self.say(f"  held out, {title}: {line}")


BEGAN = time.time()


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.train", description=__doc__)
    parser.add_argument("--base", type=Path, required=True, help="encoder.npz, decoder.npz, tokenizer.bin")
    parser.add_argument("--material", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--name", default="ear")
    parser.add_argument("--begin", type=Path, help="weights to begin with, if not the packaged ones")
    parser.add_argument("--without", default="", help="speakers of the digits that are left out, e.g. b")
    parser.add_argument("--device", default="cuda" if torch.cuda.is_available() else "cpu")
    parser.add_argument("--seconds", type=float, default=400.0)
    parser.add_argument(
        "--deadline", type=float, default=0.0, help="in place of that, when to end (seconds since 1970)"
    )
    parser.add_argument("--steps", type=int, default=0, help="in place of a time")
    parser.add_argument("--batch", type=float, default=360.0, help="seconds of sound in a batch")
    parser.add_argument("--rate", type=float, default=4e-4)
    parser.add_argument("--average", type=float, default=0.999)
    parser.add_argument("--words", type=float, default=Losses.words)
    parser.add_argument("--kl-talk", type=float, default=Losses.kl_talk)
    parser.add_argument("--features-talk", type=float, default=Losses.features_talk)
    parser.add_argument("--kl-digits", type=float, default=Losses.kl_digits)
    parser.add_argument("--words-digits", type=float, default=Losses.words_digits)
    parser.add_argument("--apart", type=float, default=Losses.apart, help="weight of telling digits apart")
    parser.add_argument("--least", type=float, default=Settings.least, help="least signal-to-noise ratio, dB")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--every", type=float, default=90.0, help="seconds between checkpoints")
    parser.add_argument("--judge-every", type=float, default=130.0)
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    Trainer(arguments).run()


if __name__ == "__main__":
    main()

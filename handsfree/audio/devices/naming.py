"""Sound devices by name: their indices change from run to run, their names do not."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

Side = Literal["microphone", "loudspeaker"]

PLUMBING = frozenset(
    [
        "null",
        "samplerate",
        "speexrate",
        "upmix",
        "vdownmix",
        "dmix",
        "dsnoop",
        "lavrate",
        "oss",
        "jack",
        "sysdefault",
        "usbstream",
    ]
)
"""Outputs that a system lists although nothing can be heard through them, or only what another one plays."""


class NoSuchDevice(Exception):
    """No device has the name that was asked for, or there is none at all; one sentence that says what there is."""


@dataclass(frozen=True)
class Device:
    """A sound device, as a microphone or as a loudspeaker."""

    index: int
    name: str
    rate: int
    default: bool
    channels: int = 1
    latency: float = 0.0
    """Seconds that it wants to buffer when it plays."""


def devices_of(library: Any, side: Side) -> list[Device]:
    """The devices of one side in the system's order; ``library`` is sounddevice, whose errors come through."""
    key = "max_input_channels" if side == "microphone" else "max_output_channels"
    default = library.default.device[0 if side == "microphone" else 1]
    return [
        Device(
            number,
            str(entry["name"]),
            round(entry["default_samplerate"]),
            number == default,
            int(entry[key]),
            float(entry["default_high_output_latency"]) if side == "loudspeaker" else 0.0,
        )
        for number, entry in enumerate(library.query_devices())
        if entry[key] > 0
    ]


def choose_device(devices: Sequence[Device], wanted: str | None, side: Side) -> Device:
    """The device whose name is or contains ``wanted`` (case does not count), the default one for None."""
    if not devices:
        raise NoSuchDevice(f"There is no {side} on this computer; plug one in and start again.")
    if wanted is None:
        return next((device for device in devices if device.default), devices[0])
    sought = wanted.casefold()
    for device in devices:
        if device.name.casefold() == sought:
            return device
    for device in devices:
        if sought in device.name.casefold():
            return device
    names = "; ".join(device.name for device in devices)
    raise NoSuchDevice(f'No {side} is called "{wanted}"; there are: {names}.')


def in_order_of_preference(outputs: Sequence[Device], wanted: str | None) -> list[Device]:
    """Where to speak: the wanted loudspeaker if it is there, then the default one, then any other."""
    order: list[Device] = []
    if wanted is not None:
        with contextlib.suppress(NoSuchDevice):
            order.append(choose_device(outputs, wanted, "loudspeaker"))
    order += [device for device in outputs if device.default]
    order += [device for device in outputs if device.name.split(":")[0] not in PLUMBING]
    return list(dict.fromkeys(order))

"""``handsfree devices``: which microphones and loudspeakers there are, and which are used."""

from __future__ import annotations

import argparse
from dataclasses import replace

from handsfree.audio.devices.library import sound_library
from handsfree.audio.devices.naming import Device, NoSuchDevice, Side, choose_device, devices_of
from handsfree.audio.devices.remembered import Chosen, recall, remember
from handsfree.commands.problems import UseError


def run_devices(args: argparse.Namespace) -> int:
    """List the devices; remember those that were named."""
    library = sound_library()
    present: dict[Side, list[Device]] = {side: devices_of(library, side) for side in ("microphone", "loudspeaker")}
    chosen = Chosen() if args.forget else recall()
    try:
        if args.microphone:
            chosen = replace(
                chosen, microphone=choose_device(present["microphone"], args.microphone, "microphone").name
            )
        if args.loudspeaker:
            chosen = replace(
                chosen, loudspeaker=choose_device(present["loudspeaker"], args.loudspeaker, "loudspeaker").name
            )
    except NoSuchDevice as error:
        raise UseError(str(error)) from error
    if args.forget or args.microphone or args.loudspeaker:
        try:
            remember(chosen)
        except OSError as error:
            raise UseError(f"The choice can't be kept ({error.strerror or error}); check your home folder.") from error
    wanted: dict[Side, str | None] = {"microphone": chosen.microphone, "loudspeaker": chosen.loudspeaker}
    for side, devices in present.items():
        print(f"{side.capitalize()}s:")
        for device in devices:
            print(f"  {_mark(device, wanted[side])} {device.name} ({device.rate} Hz)")
        if not devices:
            print("    none")
        name = wanted[side]
        if name is not None and not any(name == device.name for device in devices):
            print(f"  * {name} (not there now)")
    print("* is used. Choose with: handsfree devices --microphone NAME --loudspeaker NAME (a part of it is enough)")
    return 0


def _mark(device: Device, wanted: str | None) -> str:
    used = device.name == wanted if wanted is not None else device.default
    return "*" if used else " "

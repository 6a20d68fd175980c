"""The microphone, the loudspeaker and the key that were chosen by options, or are remembered."""

from __future__ import annotations

import argparse
import sys

from handsfree.audio.devices.library import sound_library
from handsfree.audio.devices.naming import NoSuchDevice, choose_device, devices_of
from handsfree.audio.devices.remembered import recall
from handsfree.audio.errors import SoundError
from handsfree.bench.loops.keys import InputDevice, TerminalKey
from handsfree.bench.loops.live import LiveBench, Manner
from handsfree.hearing.listening.microphone import Microphone, chosen_microphone


def microphone_of(args: argparse.Namespace) -> Microphone:
    """The microphone that was named, else the remembered one if it is there, else the default. SoundError."""
    wanted = args.microphone
    if wanted is None and (remembered := recall().microphone) is not None:
        try:
            wanted = chosen_microphone(remembered).name
        except SoundError:
            print(f'The microphone "{remembered}" is not there; the default one is used.', file=sys.stderr)
    return Microphone(wanted)


def loudspeaker_of(args: argparse.Namespace) -> str | None:
    """The name of the loudspeaker that was named, else of the remembered one if it is there, else None."""
    if args.loudspeaker is not None or (remembered := recall().loudspeaker) is None:
        named: str | None = args.loudspeaker
        return named
    try:
        return choose_device(devices_of(sound_library(), "loudspeaker"), remembered, "loudspeaker").name
    except (NoSuchDevice, SoundError):
        print(f'The loudspeaker "{remembered}" is not there; the default one is used.', file=sys.stderr)
        return None


def manner_of(args: argparse.Namespace) -> Manner:
    """When to listen, from the options."""
    if (args.key or args.pedal) and args.key_does == "talk":
        return Manner.PUSH_TO_TALK
    return Manner.BARGE_IN if args.barge_in else Manner.HALF_DUPLEX


def watch_keys(args: argparse.Namespace, live: LiveBench) -> TerminalKey | None:
    """Watch the key or the pedal that was chosen; KeyNameError."""
    stand_by = args.key_does == "stand-by"
    if args.pedal is not None:
        InputDevice(
            args.pedal,
            lambda pressed: live.key(pressed, held=True, stand_by=stand_by),
            lambda sentence: live.bench.show("trouble", sentence),
        )
    if args.key is None:
        return None
    return TerminalKey(args.key, lambda: live.key(True, stand_by=stand_by))

"""``handsfree voices``: whose voice is known, and a voice forgotten."""

from __future__ import annotations

import argparse

from handsfree.commands.files import size_words
from handsfree.commands.problems import UseError
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.learning.card import CARD, drop_said, said_so_far
from handsfree.hearing.learning.known_voice import (
    KnownVoiceError,
    forget_voice,
    read_voice,
    voice_files,
    voices_folder,
)


def run_voices(args: argparse.Namespace) -> int:
    """List the voices that are known, or forget one; 1 where a file can't be used."""
    if args.forget is not None:
        return _forget(args.forget)
    code, files = 0, voice_files()
    if not files:
        print("No voice is known yet. Two minutes of reading aloud: handsfree learn-voice --by NAME")
    for path in files:
        try:
            voice = read_voice(path)
        except KnownVoiceError as error:
            print(error)
            code = 1
            continue
        size = size_words(path.stat().st_size)
        print(f"{voice.name}, learned {voice.made} from {voice.phrases} phrases ({size}, {path})")
        if voice.network not in find_model_files().trained_sha256.values():
            print("  learned by another version: not used until it is learned again")
        for line in voice.told:
            print(f"  {line}")
    return code


def _forget(name: str) -> int:
    said = len(said_so_far(name))
    known, begun = forget_voice(name), drop_said(name)
    if not known and not begun:
        raise UseError(f"no voice of {name} is known in {voices_folder()}; handsfree voices lists them")
    if known:
        print(f"The voice of {name} is deleted; {name} is heard as anybody is.")
    if begun:
        print(f"What was said to the card ({said} of {len(CARD)} phrases) is deleted.")
    return 0

"""The weights of networks that stand in installed packages: found without importing these, and known by their hash."""

from __future__ import annotations

import hashlib
import importlib.util
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from handsfree.audio.errors import SoundError

_BLOCK = 1 << 20


def package_folders(package: str) -> list[Path]:
    """Where an installed package stands (not imported: that may load far more than its files); none if it is not."""
    try:
        spec = importlib.util.find_spec(package)
    except (ImportError, ValueError):
        return []
    return [Path(place) for place in spec.submodule_search_locations or ()] if spec is not None else []


@contextmanager
def verified_meanwhile(files: Mapping[Path, str], install: str) -> Iterator[None]:
    """Verifies files by their SHA-256 while they are being loaded: on another core, hashing costs no time.

    SoundError as ``verify_weights``, also in place of what a loader made of a damaged file.
    """
    with ThreadPoolExecutor(1, "weights") as pool:
        verdicts = [pool.submit(verify_weights, path, sha256, install) for path, sha256 in files.items()]
        try:
            yield
        finally:
            for verdict in verdicts:
                verdict.result()


def verify_weights(path: Path, sha256: str, install: str) -> None:
    """SoundError where the file can't be read or is not the one whose SHA-256 (hexadecimal) is known.

    ``install`` is the command that brings the right one.
    """
    if sha256_of(path) != sha256:
        raise SoundError(f"{path} is not the network that is known here (its checksum differs); run: {install}")


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, hexadecimal. SoundError where it can't be read."""
    digest = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(_BLOCK):
                digest.update(block)
    except OSError as error:
        raise SoundError(f"{path} can't be read ({error.strerror or error}).") from error
    return digest.hexdigest()

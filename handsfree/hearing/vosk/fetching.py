"""Fetching a model for the second recogniser: resumed, verified, unpacked safely, and nothing left half done.

The usual package for it, pooch, begins a broken download anew, and verifies by a hash that the makers must have
published.
"""

from __future__ import annotations

import contextlib
import hashlib
import http.client
import stat
import urllib.error
import urllib.request
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from handsfree.hearing.errors import HearingError
from handsfree.hearing.vosk.models import MODEL_FILE, MODEL_FOLDER, MODEL_SITE, is_model, model_home
from handsfree.job.log.beside.scratch import scratch_folder

TRIES = 5
"""Times that a download which broke off is taken up again."""

PUT_HERE = ".put-here-by-handsfree"
"""A file in each model that was unpacked here: nothing else is ever replaced."""

PART = 1 << 16
TIMEOUT = 20.0

ReportProgress = Callable[[int, int | None], None]
"""Bytes that are there, and how many there will be (None: the server does not say)."""


class FetchError(HearingError):
    """The model could not be fetched; one sentence that says why and what to do."""


@dataclass(frozen=True)
class ModelSource:
    """Where an archive comes from and what it must be. ``size`` (bytes) and ``sha256`` are None where not known."""

    name: str
    url: str
    size: int | None = None
    sha256: str | None = None
    largest: int = 400 << 20
    """Bytes that it may hold unpacked."""


SMALL_ENGLISH = ModelSource(MODEL_FILE, f"https://{MODEL_SITE}/{MODEL_FILE}")
"""The makers publish neither its size nor its checksum with the archive, so only its structure can be verified."""


def fetch(source: ModelSource, to: Path, progress: ReportProgress = lambda received, of: None) -> Path:
    """Fetch and unpack the model into ``to``; its folder. A download that broke off is gone on with at the next call.

    FetchError, and nothing but that partial download left behind, where it can't be had or is not what it should be.
    """
    try:
        to.mkdir(parents=True, exist_ok=True)
        archive = to / f"{source.name}.part"
        download(source, archive, progress)
        return install(archive, source, to, keep=False)
    except OSError as error:
        raise FetchError(f"{to}: the model can't be put here ({error.strerror or error}).") from error


def download(source: ModelSource, archive: Path, progress: ReportProgress) -> None:
    """The bytes of ``source`` in the file ``archive``, which may hold the first of them already."""
    failure = ""
    for _ in range(TRIES):
        received = archive.stat().st_size if archive.exists() else 0
        if source.size is not None and received >= source.size:
            return
        try:
            if _go_on(source, archive, received, progress):
                return
            failure = "the connection breaks off again and again"
        except urllib.error.HTTPError as error:
            if error.code == 416 and received:
                # There is no more than what is there: whether it is right is seen when it is verified.
                return
            raise _not_fetched(source, archive, f"the server answers {error.code} {error.reason}") from error
        except (OSError, http.client.HTTPException) as error:
            failure = _reason(error)
            if not archive.exists() or archive.stat().st_size == received:
                break
    raise _not_fetched(source, archive, failure)


def _go_on(source: ModelSource, archive: Path, received: int, progress: ReportProgress) -> bool:
    """Take the download up at byte ``there``; whether it has come to its end."""
    request = urllib.request.Request(source.url, headers={"Range": f"bytes={received}-"} if received else {})
    with urllib.request.urlopen(request, timeout=TIMEOUT) as answer:
        if answer.headers.get_content_type() == "text/html":
            raise _not_fetched(source, archive, "the server sends a web page in place of the archive")
        resumed = answer.status == 206
        received = received if resumed else 0
        length = answer.headers.get("Content-Length")
        total = source.size or (received + int(length) if length and length.isdigit() else None)
        with archive.open("ab" if resumed else "wb") as file:
            while part := answer.read(PART):
                file.write(part)
                received += len(part)
                if received > source.largest:
                    file.truncate(0)
                    raise _not_fetched(source, archive, "it is far larger than the model")
                progress(received, total)
        return total is None or received >= total


def install(archive: Path, source: ModelSource, to: Path, *, keep: bool = True) -> Path:
    """Verify ``archive`` and unpack the model in it into ``to``; its folder. The archive goes unless it is to ``keep``.

    FetchError where it is not what it should be: then it is thrown away (unless to be kept), and nothing is unpacked.
    """
    try:
        verify_archive(archive, source)
        with scratch_folder(to, ".unpacking-") as scratch:
            folder = scratch / "model"
            folder.mkdir()
            model = _unpack(archive, source, folder)
            name = model.name if model.name.startswith(MODEL_FOLDER) else f"{MODEL_FOLDER}-{model.name}"
            final = to / name
            if final.exists() and not (final / PUT_HERE).is_file():
                raise FetchError(
                    f"{final} is there already, and was not put there by handsfree fetch-model; move it away, or name "
                    "another folder with --to."
                )
            (model / PUT_HERE).touch()
            if final.exists():
                # Aside first: a folder is never half gone.
                final.replace(scratch / "before")
            model.replace(final)
    except FetchError:
        if not keep:
            archive.unlink(missing_ok=True)
        raise
    if not keep:
        archive.unlink(missing_ok=True)
    return final


def verify_archive(archive: Path, source: ModelSource) -> None:
    """Size and checksum where they are known; FetchError."""
    size = archive.stat().st_size
    if source.size is not None and size != source.size:
        raise FetchError(f"{source.name} has {size} bytes in place of {source.size}; fetch it again.")
    if source.sha256 is not None:
        digest = hashlib.sha256()
        with archive.open("rb") as file:
            while part := file.read(1 << 20):
                digest.update(part)
        if digest.hexdigest() != source.sha256:
            raise FetchError(f"{source.name} is not the file it should be (its checksum differs); fetch it again.")


def _unpack(archive: Path, source: ModelSource, folder: Path) -> Path:
    """The model's folder, unpacked in ``folder``; every name is looked at before anything is written."""
    try:
        with zipfile.ZipFile(archive) as packed:
            entries = packed.infolist()
            for entry in entries:
                _check_name(entry, source)
            if sum(entry.file_size for entry in entries) > source.largest:
                raise FetchError(f"{source.name} would unpack to more than a model can be; it was thrown away.")
            # Reads every file against its own checksum as well.
            try:
                packed.extractall(folder)
            except (FileExistsError, NotADirectoryError, IsADirectoryError) as error:
                raise FetchError(f"{source.name} has a file and a folder of one name: not unpacked.") from error
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error) as error:
        raise FetchError(f"{source.name} is not a sound archive ({error}); fetch it again.") from error
    models = [place for place in (folder, *sorted(folder.iterdir())) if place.is_dir() and is_model(place)]
    if len(models) != 1 or models[0] == folder:
        raise FetchError(f"{source.name} holds no Vosk model (a folder with am/final.mdl); it was thrown away.")
    return models[0]


def _check_name(entry: zipfile.ZipInfo, source: ModelSource) -> None:
    path = PurePosixPath(entry.filename.replace("\\", "/"))
    link = stat.S_ISLNK(entry.external_attr >> 16)
    if link or path.is_absolute() or ".." in path.parts or ":" in entry.filename:
        raise FetchError(f"{source.name} has a path that leads out of its folder ({entry.filename}): not unpacked.")


def by_hand(source: ModelSource) -> str:
    """What to do where there is no network."""
    return (
        f"Get {source.url} on another computer, and run: handsfree fetch-model --from {source.name}; or unpack it "
        f"in {model_home()}."
    )


def _not_fetched(source: ModelSource, archive: Path, why: str) -> FetchError:
    with contextlib.suppress(OSError):
        if archive.exists() and archive.stat().st_size == 0:
            archive.unlink()
    return FetchError(f"{source.name} can't be fetched: {why}. {by_hand(source)}")


def _reason(error: Exception) -> str:
    reason = getattr(error, "reason", error)
    if isinstance(reason, TimeoutError):
        return "the server does not answer"
    text = getattr(reason, "strerror", None) or str(reason) or type(reason).__name__
    return f"there is no connection ({text})"

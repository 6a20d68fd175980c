"""Where the built-in recogniser's model is: inside an installed package, which is never imported."""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from pathlib import Path

from handsfree.hearing.errors import HearingError

MOONSHINE_PACKAGE = "moonshine_voice"
FOLDER = Path("assets") / "tiny-en"
INSTALL_MOONSHINE = 'python -m pip install "moonshine-voice>=0.0.49,<0.1"'


@dataclass(frozen=True)
class ModelFiles:
    """The three files of the built-in English model."""

    encoder: Path
    decoder: Path
    tokenizer: Path


def find_model_files(package: str = MOONSHINE_PACKAGE) -> ModelFiles:
    """The model's files in the installed ``package``; HearingError where the package or a file is missing.

    The package is located, not imported: importing it needs PortAudio and loads a second recogniser.
    """
    try:
        spec = importlib.util.find_spec(package)
    except (ImportError, ValueError):
        spec = None
    places = list(spec.submodule_search_locations or ()) if spec is not None else []
    if not places:
        raise HearingError(
            f"The built-in recogniser's model is missing because the package {package} is not installed; run: {INSTALL_MOONSHINE}"
        )
    folders = [Path(place) / FOLDER for place in places]
    for folder in folders:
        files = ModelFiles(folder / "encoder_model.ort", folder / "decoder_model_merged.ort", folder / "tokenizer.bin")
        missing = [path.name for path in (files.encoder, files.decoder, files.tokenizer) if not path.is_file()]
        if not missing:
            return files
    raise HearingError(
        f"The built-in recogniser's model is incomplete ({', '.join(missing)} not found in {folders[-1]}): "
        f"this release of the package carries no weights; run: {INSTALL_MOONSHINE}"
    )

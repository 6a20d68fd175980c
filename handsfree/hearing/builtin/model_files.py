"""Where the built-in recogniser's model is: inside an installed package, which is never imported."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from handsfree.hearing.errors import HearingError
from handsfree.hearing.weights import package_folders

MOONSHINE_PACKAGE = "moonshine_voice"
FOLDER = Path("assets") / "tiny-en"
INSTALL_MOONSHINE = "python -m pip install --force-reinstall --no-deps moonshine-voice==0.0.73"

_ENCODER, _DECODER, _TOKENIZER = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
_SHA256 = {
    _ENCODER: "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    _DECODER: "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    _TOKENIZER: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
}


@dataclass(frozen=True)
class ModelFiles:
    """The three files of the built-in English model."""

    encoder: Path
    decoder: Path
    tokenizer: Path

    @property
    def sha256(self) -> dict[Path, str]:
        """What the files must be: the model that the thresholds of the decision were found with."""
        return {path: _SHA256[path.name] for path in (self.encoder, self.decoder, self.tokenizer)}


def find_model_files(package: str = MOONSHINE_PACKAGE) -> ModelFiles:
    """The model's files in the installed ``package``; HearingError where the package or a file is missing.

    The package is located, not imported: importing it needs PortAudio and loads a second recogniser.
    """
    folders = [place / FOLDER for place in package_folders(package)]
    if not folders:
        raise HearingError(
            f"The built-in recogniser's model is missing because the package {package} is not installed; run: "
            f"{INSTALL_MOONSHINE}"
        )
    for folder in folders:
        files = ModelFiles(folder / _ENCODER, folder / _DECODER, folder / _TOKENIZER)
        missing = [path.name for path in files.sha256 if not path.is_file()]
        if not missing:
            return files
    raise HearingError(
        f"The built-in recogniser's model is incomplete ({', '.join(missing)} not found in {folders[-1]}): "
        f"this release of the package carries no weights; run: {INSTALL_MOONSHINE}"
    )

"""Where the built-in recogniser's model is: an encoder trained for the bench, which comes with Handsfree, and the rest
inside an installed package, which is never imported."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from handsfree.audio.weights import package_folders
from handsfree.hearing.errors import HearingError

MOONSHINE_PACKAGE = "moonshine_voice"
FOLDER = Path("assets") / "tiny-en"
INSTALL_MOONSHINE = "python -m pip install --force-reinstall --no-deps moonshine-voice==0.0.73"

_ENCODER, _DECODER, _TOKENIZER = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
_SHA256 = {
    _ENCODER: "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    _DECODER: "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    _TOKENIZER: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
}

TRAINED_ENCODER = Path(__file__).parent / "weights" / "encoder.onnx"
INSTALL_HANDSFREE = (
    "install the project again from its folder (python -m pip install --force-reinstall --no-deps .), "
    "or hear without it: --recogniser untrained"
)
_TRAINED_SHA256 = "6682d02d067c55893f2503c9c39bb2ca2565ff69f84d1f4d20f4b197303e964b"


@dataclass(frozen=True)
class ModelFiles:
    """The three files of the built-in English model. The encoder may be any that has the same features."""

    encoder: Path
    decoder: Path
    tokenizer: Path

    @property
    def sha256(self) -> dict[Path, str]:
        """What the packaged files must be: the model that the thresholds of the decision were found with."""
        paths = (self.encoder, self.decoder, self.tokenizer)
        return {path: _SHA256[path.name] for path in paths if path.name in _SHA256}

    @property
    def trained_sha256(self) -> dict[Path, str]:
        """The same of the encoder that comes with Handsfree; nothing where another is used."""
        return {self.encoder: _TRAINED_SHA256} if self.encoder == TRAINED_ENCODER else {}


def find_model_files(package: str = MOONSHINE_PACKAGE, *, trained: bool = True) -> ModelFiles:
    """The model's files, with the encoder that was trained for the bench or, for comparison, the package's own.

    HearingError where the package or one of its files is missing.

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
            return replace(files, encoder=TRAINED_ENCODER) if trained else files
    raise HearingError(
        f"The built-in recogniser's model is incomplete ({', '.join(missing)} not found in {folders[-1]}): "
        f"this release of the package carries no weights; run: {INSTALL_MOONSHINE}"
    )

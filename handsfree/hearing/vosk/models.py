"""Where Vosk models are looked for, and which one is there."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

from handsfree.hearing.errors import HearingError

MODEL_VARIABLE = "HANDSFREE_VOSK_MODEL"
MODEL_FOLDER = "vosk-model"
MODEL_FILE = "vosk-model-small-en-us-0.15.zip"
MODEL_SITE = "alphacephei.com/vosk/models"


def find_vosk_model(path: Path | None = None) -> Path | None:
    """The folder of a Vosk model, None where there is none in the usual place.

    Looked for at ``path`` if given, else where the environment variable HANDSFREE_VOSK_MODEL points: HearingError
    where there is no model there. Else in the folder of models, as "vosk-model" or as its only folder "vosk-model-...";
    or beside it in the program's data folder, where models were put in earlier versions.
    """
    named = os.environ.get(MODEL_VARIABLE)
    if path is not None or named:
        place = path if path is not None else Path(str(named))
        found = _model_in(place)
        if found is None:
            raise HearingError(f"{place}: there is no Vosk model here; {how_to_get_vosk_model()}")
        return found
    homes = (model_home(), _data_folder())
    places = (place for home in homes for place in (home / MODEL_FOLDER, home))
    return next((found for place in places if (found := _model_in(place)) is not None), None)


def vosk_model_for(choice: str, path: Path | None = None) -> Path | None:
    """The Vosk model that hears where this one recogniser was chosen ("auto", "builtin", "untrained", "vosk"); None
    where the built-in one does. HearingError where it is not to be had."""
    if choice in ("builtin", "untrained"):
        return None
    found = find_vosk_model(path)
    if found is None and choice == "vosk":
        raise HearingError(f"no Vosk model is installed; {how_to_get_vosk_model()}")
    return found


def how_to_get_vosk_model() -> str:
    """What to do where there is no model, as the rest of a sentence."""
    return (
        f"run handsfree fetch-model, or get {MODEL_FILE} from {MODEL_SITE} and unpack it in {model_home()} "
        f"(or point the environment variable {MODEL_VARIABLE} at the unpacked folder)."
    )


def model_home() -> Path:
    """The folder of models, which holds nothing else."""
    return _data_folder() / "models"


def _data_folder() -> Path:
    return Path(platformdirs.user_data_dir("handsfree", appauthor=False))


def _model_in(place: Path) -> Path | None:
    """``place`` if it is a model, or the one model folder in it."""
    if is_model(place):
        return place
    inside = sorted(folder for folder in place.glob(f"{MODEL_FOLDER}*") if is_model(folder))
    return inside[0] if len(inside) == 1 else None


def is_model(place: Path) -> bool:
    """Whether ``place`` is the folder of an unpacked model."""
    return (place / "am" / "final.mdl").is_file() or (place / "final.mdl").is_file()

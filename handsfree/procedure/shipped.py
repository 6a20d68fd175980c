"""Finding a procedure: by its path, or by the bare name of one that comes with the package."""

from __future__ import annotations

from pathlib import Path

from handsfree.procedure.file.problems import Problem, ProcedureError
from handsfree.procedure.values import nearest_word

_ENDINGS = (".yaml", ".yml")


def shipped_dir() -> Path:
    """The folder of the procedures that come with the package, in a wheel or in a checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "shipped" / "procedures"
    return installed if installed.is_dir() else package.parent / "procedures"


def shipped_names() -> list[str]:
    """The bare names of the procedures that come with the package, sorted."""
    folder = shipped_dir()
    return sorted(each.stem for each in folder.glob("*.yaml")) if folder.is_dir() else []


def find(name_or_path: str | Path) -> Path:
    """The file of a procedure; ProcedureError, saying which there are, where there is none."""
    path = Path(name_or_path)
    if path.is_file():
        return path
    names = shipped_names()
    name = str(name_or_path)
    if name in names:
        return shipped_dir() / f"{name}.yaml"
    if path.exists():
        return path  # a folder, say: what is wrong with it is said when it is loaded
    is_path = path.suffix.lower() in _ENDINGS or len(path.parts) != 1
    wrong = "there is no such file" if is_path else f'there is no procedure or file "{name}"'
    near = nearest_word(path.stem, names)
    there_are = f"procedures that come with the package: {', '.join(names)}" if names else "no procedure comes with it"
    raise ProcedureError(Problem(path, 0, 0, f"{wrong}; " + (f'did you mean "{near}"?' if near else there_are)))

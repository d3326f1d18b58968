"""Where things are: what ships with the program, and where a person's own tables, pantry, formulas and drafts live.

A person's own things stand in the folders their system has for such (XDG folders where those are set), or all in the
folder that OTHERLOAF_HOME names: for a stick, and for tests.
"""

from __future__ import annotations

import os
from pathlib import Path

from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem, file_name, os_problem
from adapter.formula.shipped import shipped_folder
from adapter.formula.toml_text import is_there

LOG_SUFFIX = ".bakes.toml"
HOME_VARIABLE = "OTHERLOAF_HOME"
PROGRAM = "otherloaf"


def samples() -> tuple[Path, ...]:
    """The formulas that ship with the program, by name."""
    found = [item for item in shipped_folder("sample_formulas").iterdir() if item.name.endswith(".toml")]
    return tuple(sorted((item for item in found if not _is_pantry(item)), key=lambda item: item.name))


def sample_named(text: str) -> Path | None:
    """A shipped formula by its file's name, with or without .toml, blanks or underscores; None when there is none."""
    wanted = _sample_name(text)
    return next((item for item in samples() if _sample_name(item.name) == wanted), None)


def near_formulas(path: Path, most: int = 3) -> list[str]:
    """The names nearest to one that is not there: formula files of its folder, own formulas and samples."""
    from difflib import get_close_matches

    try:
        beside = [str(item) for item in path.parent.iterdir() if _is_formula_name(item.name)]
    except OSError:
        beside = []
    known = {Path(name).stem: name for name in (*beside, *map(str, own_formulas()))}
    known |= {item.name.removesuffix(".toml"): item.name.removesuffix(".toml") for item in samples()}
    return [file_name(known[stem]) for stem in get_close_matches(path.stem[:80], known, n=most, cutoff=0.6)]


def sample_pantry() -> Path | None:
    """The pantry of the demo kitchen."""
    return next((item for item in shipped_folder("sample_formulas").iterdir() if _is_pantry(item)), None)


def own_tables_path() -> Path:
    """The folder of a baker's own tables, which lie over the shipped ones; it may not exist."""
    return _home("tables") or _platform("user_config_dir") / "tables"


def own_table_folders() -> tuple[Path, ...]:
    """The folders of own tables that are there."""
    folder = own_tables_path()
    return (folder,) if is_there(folder) else ()


def own_pantry_path() -> Path:
    """The baker's own pantry file; it may not exist."""
    return _home("pantry.toml") or _platform("user_data_dir") / "pantry.toml"


def own_formulas_path() -> Path:
    """The folder of the baker's own formulas; it may not exist."""
    return _home("formulas") or _platform("user_data_dir") / "formulas"


def own_formulas() -> tuple[Path, ...]:
    """The baker's own formula files, by name."""
    folder = own_formulas_path()
    try:
        return tuple(sorted(path for path in folder.iterdir() if _is_formula_name(path.name) and path.is_file()))
    except OSError:
        return ()


def with_folder(path: Path) -> Path:
    """The same path, after making the folder it stands in. Raises InputProblem where that cannot be."""
    make_folder(path.parent)
    return path


def make_folder(folder: Path) -> None:
    """Make a folder where there is none. Raises InputProblem when that is not allowed."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise os_problem(error, folder, "made") from None


def holds_logs(folder: Path) -> bool:
    """Whether a folder holds a bake log; one that cannot be read does not."""
    try:
        return any(path.name.endswith(LOG_SUFFIX) for path in folder.iterdir())
    except OSError:
        return False


def _is_formula_name(name: str) -> bool:
    return name.endswith(".toml") and not name.endswith(LOG_SUFFIX)


def drafts_path() -> Path:
    """The folder of unsaved work; it may not exist."""
    return _home("drafts") or _platform("user_state_dir") / "drafts"


def preferences_path() -> Path:
    """The file of what a person chose on screen; it may not exist."""
    return _home("preferences.json") or _platform("user_state_dir") / "preferences.json"


def _home(part: str) -> Path | None:
    home = os.environ.get(HOME_VARIABLE, "")
    if not home:
        return None
    try:
        folder = Path(home).expanduser().absolute()
        is_there(folder)
    except (RuntimeError, OSError, InputProblem) as error:
        what = f"names no folder: {shown(error.what if isinstance(error, InputProblem) else error)}"
        raise InputProblem(what, where=HOME_VARIABLE, right="a path such as /media/stick") from None
    return folder / part


def _platform(kind: str) -> Path:
    import platformdirs

    return Path(getattr(platformdirs, kind)(PROGRAM, appauthor=False))


def _is_pantry(item: Path) -> bool:
    return "pantry" in item.name and item.name.endswith(".toml")


def _sample_name(text: str) -> str:
    from adapter.formula.catalogue import spelling

    return spelling(Path(text).name.removesuffix(".toml").replace("_", " ").replace("-", " "))

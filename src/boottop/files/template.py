"""`boottop new DIR`: a commented job sheet to start from, with product sheets beside it."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from boottop.base.errors import InputError, Problem
from boottop.files.product import BUILT_IN, builtin_text


def template_text() -> str:
    """The commented job sheet that `boottop new` writes."""
    return (resources.files("boottop.files") / "data" / "job_template.toml").read_text(encoding="utf-8")


def template_files() -> Mapping[str, str]:
    """Every file that `boottop new` writes, by its path below the directory."""
    sheets = {f"coatings/{name}.toml": builtin_text(name) for name in BUILT_IN}
    return {"job.toml": template_text(), **sheets}


def write_new(directory: str | Path) -> list[Path]:
    """Write the job sheet and the product sheets below a directory, made if it is missing; the paths written.

    Raises InputError, and writes nothing, when one of the files is there already; InputError as well when the
    directory cannot be written to.
    """
    folder = Path(directory)
    texts = {folder / name: text for name, text in template_files().items()}
    try:
        present = [path for path in texts if path.exists() or path.is_symlink()]
        if present:
            raise InputError(_present(path) for path in present)
        for path, text in texts.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    except (OSError, ValueError) as error:
        raise InputError(_unwritable(folder, error)) from None
    return list(texts)


def _present(path: Path) -> Problem:
    return Problem(
        where=str(path),
        found="a file that is there already",
        allowed="a directory without it: nothing is ever overwritten",
        advice="Choose another directory, or move the file away.",
    )


def _unwritable(folder: Path, error: Exception) -> Problem:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return Problem(
        where=str(folder),
        found=f"a directory that cannot be written to ({reason})",
        allowed="a directory that you may write to",
        advice="Choose another directory, or mend its rights.",
    )

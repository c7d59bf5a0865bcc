"""`boottop new`: what it writes, and what it never does."""

from __future__ import annotations

from pathlib import Path

import pytest

from boottop.base.errors import InputError
from boottop.files.product import BUILT_IN
from boottop.files.template import template_files, write_new


def test_writes_the_sheet_and_every_product_sheet(tmp_path: Path) -> None:
    written = write_new(tmp_path / "deep" / "down")
    assert [path.relative_to(tmp_path / "deep" / "down").as_posix() for path in written] == [
        "job.toml",
        *(f"coatings/{name}.toml" for name in BUILT_IN),
    ]
    assert all(
        path.read_text(encoding="utf-8") == text for path, text in zip(written, template_files().values(), strict=True)
    )


def test_never_overwrites(tmp_path: Path) -> None:
    (tmp_path / "coatings").mkdir()
    mine = tmp_path / "coatings" / f"{BUILT_IN[1]}.toml"
    mine.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=rf"{BUILT_IN[1]}\.toml: found a file that is there already") as caught:
        write_new(tmp_path)
    assert len(caught.value.problems) == 1
    assert mine.read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / "job.toml").exists()


def test_a_file_in_the_place_of_the_directory(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="found a directory that cannot be written to"):
        write_new(tmp_path / "taken")


def test_a_directory_without_the_right_to_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(InputError, match=r"cannot be written to \(Permission denied\).*mend its rights"):
        write_new(tmp_path)


def test_the_template_says_that_its_products_are_invented() -> None:
    for name in BUILT_IN:
        assert "INVENTED FOR DEMONSTRATION" in template_files()[f"coatings/{name}.toml"]

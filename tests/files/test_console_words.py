"""What the console says of a person's own words."""

from __future__ import annotations

import pytest

from boottop.base.errors import InputError, Problem
from boottop.console import say, show_error


def test_colons_and_brackets_of_a_person_stay_as_typed(capsys: pytest.CaptureFixture[str]) -> None:
    problem = Problem(
        where="boat.name", found="':x: [bold]Wren[/bold] :boat:'", allowed="a name", advice="Try :+1: so."
    )
    show_error(InputError(problem))
    told = capsys.readouterr().err
    assert "':x: [bold]Wren[/bold] :boat:'" in told
    assert "Try :+1: so." in told


def test_one_line_says_colons_as_they_are(capsys: pytest.CaptureFixture[str]) -> None:
    say("wrote :x:.html")
    assert "wrote :x:.html" in capsys.readouterr().err

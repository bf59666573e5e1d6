"""Questions at the terminal: one way to ask, one exit status."""

import io

import pytest

from scheduler.cli.faults import CANNOT_USE, go_on_after


class Terminal(io.StringIO):
    """What somebody types at a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("typed", ["y\n", "Yes \n"])
def test_yes_goes_on(monkeypatch: pytest.MonkeyPatch, typed: str) -> None:
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    go_on_after("Is it so?")


@pytest.mark.parametrize("typed", ["n\n", "\n", "yess\n", ""])
def test_anything_else_does_nothing_and_ends_with_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str
) -> None:
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    with pytest.raises(SystemExit) as ended:
        go_on_after("Is it so?")
    assert ended.value.code == CANNOT_USE
    assert capsys.readouterr().err == "Nothing was done.\n"


@pytest.mark.parametrize("stdin", [io.StringIO("y\n"), None])
def test_where_nobody_can_be_asked_it_says_how_to_go_on(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], stdin: io.StringIO | None
) -> None:
    monkeypatch.setattr("sys.stdin", stdin)
    with pytest.raises(SystemExit) as ended:
        go_on_after("Is it so?")
    assert ended.value.code == CANNOT_USE
    assert capsys.readouterr().err == "Is it so? If so, run it again with --yes.\n"

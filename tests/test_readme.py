"""The README shows what the program prints: every console block is run and compared."""

import re
import shlex
from pathlib import Path

import pytest

from energysim.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
CUT = "[...]"


def shown() -> list[tuple[str, str]]:
    """Return (command, output) of every console block that shows an output."""
    blocks = re.findall(r"```console\n\$ (energysim [^\n]*)\n(.+?)```", README, re.DOTALL)
    return [(command, output) for command, output in blocks if not output.startswith("$ ")]


def test_the_readme_shows_an_output_for_each_user_and_two_for_the_shop():
    assert len(shown()) == 4


@pytest.mark.parametrize(("command", "output"), shown(), ids=lambda text: text[:60])
def test_the_readme_shows_what_the_program_prints(
    command, output, tmp_path, monkeypatch, capsys
):
    arguments = shlex.split(command)
    arguments = [
        str(ROOT / part) if part.startswith("scenarios/") else part for part in arguments
    ]
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", arguments)
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit) as stop:
        main()
    assert stop.value.code == 0
    printed = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    wanted = [line.rstrip() for line in output.splitlines()]
    if CUT in wanted:
        cut = wanted.index(CUT)
        head, tail = wanted[:cut], wanted[cut + 1 :]
        assert printed[: len(head)] == head
        assert not tail or printed[-len(tail) :] == tail
    else:
        assert printed == wanted


PICTURES = re.findall(r"`(energysim chart [^`]*)`:\n\n!\[[^\]]+\]\(([^)]+)\)", README)


def test_the_readme_shows_three_pictures():
    assert len(PICTURES) == 3


@pytest.mark.parametrize(("command", "picture"), PICTURES, ids=[name for _, name in PICTURES])
def test_the_pictures_are_what_the_program_draws(command, picture, tmp_path, monkeypatch):
    """Line for line but for the digits, which move with the drawing library's versions."""
    arguments = [
        str(ROOT / part) if part.startswith("scenarios/") else part
        for part in shlex.split(command)
    ]
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", [*arguments, "--out", "drawn.svg"])
    with pytest.raises(SystemExit) as stop:
        main()
    assert stop.value.code == 0
    drawn = (tmp_path / "drawn.svg").read_text(encoding="utf-8")
    shown = (ROOT / picture).read_text(encoding="utf-8")
    words = re.compile(r"<(?:title|desc)[^>]*>[^<]*")
    assert words.findall(drawn) == words.findall(shown)

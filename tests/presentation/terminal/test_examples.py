"""Tests of the end of every command's help."""

import shlex

import click
import pytest
from click.testing import CliRunner

from corrosion.presentation.terminal.cli import cli
from corrosion.presentation.terminal.examples import EXAMPLES


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_help_ends_with_two_examples_and_the_exit_codes(name: str) -> None:
    text = CliRunner().invoke(cli, [name, "--help"]).output
    assert text.count(f"  corrosion {name}") == 2
    assert "130 stopped by Ctrl-C." in text


@pytest.mark.parametrize("example", EXAMPLES)
def test_examples_are_understood(example: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(click.Path, "convert", lambda _, value, *__: value)
    name, *words = shlex.split(example)
    command = cli.commands[name]
    assert command.make_context(name, words).params

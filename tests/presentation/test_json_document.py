"""The JSON of every command against its schema, by a validation library."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator, ValidationError

from corrosion.foundation.errors import LookupFailed
from corrosion.presentation.demo import bundled_path
from corrosion.presentation.json_document import commands, document, json_schema
from corrosion.presentation.terminal.cli import cli

SHIP = str(bundled_path("data") / "saltmarsh")
SMALL = ("--samples", "32", "--as-of", "2026-11-25")  # as others ask: kept
ARGUMENTS = {
    "estimate": (SHIP, *SMALL),
    "leakage": (SHIP, *SMALL),
    "hull": (SHIP, *SMALL),
    "isolate": (SHIP, *SMALL),
    "hunt": (SHIP, "--system", "hotel", "--ship", "alongside"),
    "plan": (SHIP, *SMALL, "--hours", "20"),
    "charge": (str(Path(SHIP) / "monitor" / "hull-current.csv"),),
    "metal": ("steel",),
    "docking": (SHIP, *SMALL),
    "surveys": (SHIP,),
}


def said(command: str, *arguments: str) -> dict[str, Any]:
    """Return what a command writes as JSON."""
    result = CliRunner().invoke(cli, [command, *arguments, "--json", "-"])
    assert result.exit_code == 0, result.output
    written: dict[str, Any] = json.loads(result.stdout)
    return written


@pytest.mark.parametrize("command", ARGUMENTS)
def test_the_json_of_a_command_follows_its_schema(command: str) -> None:
    schema = json_schema(command)
    Draft202012Validator.check_schema(schema)
    written = said(command, *ARGUMENTS[command])
    Draft202012Validator(schema).validate(written)
    assert (written["schema"], written["version"]) == (2, "0.1.0")
    Draft202012Validator(json_schema()).validate(written)


def test_report_and_fleet_follow_theirs(tmp_path: Path) -> None:
    page = ("--html", str(tmp_path / "report.html"))
    Draft202012Validator(json_schema("report")).validate(
        said("report", SHIP, *page, *SMALL)
    )
    lone = tmp_path / "ships" / "Empty"
    lone.mkdir(parents=True)
    (lone / "ship.toml").write_text("")
    result = CliRunner().invoke(
        cli, ["fleet", str(lone.parent), "--workers", "1", "--json", "-", *SMALL]
    )
    Draft202012Validator(json_schema("fleet")).validate(json.loads(result.stdout))


def test_every_command_with_json_has_a_schema() -> None:
    asked = {
        name
        for name, command in cli.commands.items()
        if any("--json" in option.opts for option in command.params)
    }
    assert asked == set(commands())


def test_a_key_whose_physics_has_not_landed_is_null() -> None:
    whole = document("hunt", {"order": [{"circuit": "galley"}]})
    assert whole["order"][0]["needs"] is None
    assert whole["order"][0]["circuit"] == "galley"


def test_a_key_that_no_schema_knows_is_refused() -> None:
    answer = document("charge", {"warnings": [], "rows": [], "kilograms": 1.0})
    with pytest.raises(ValidationError, match="'kilograms' was unexpected"):
        Draft202012Validator(json_schema("charge")).validate(answer)


def test_an_unknown_command_is_named() -> None:
    with pytest.raises(LookupFailed, match="no command 'estimat'; did you mean"):
        json_schema("estimat")


def test_the_command_prints_the_schema() -> None:
    one = CliRunner().invoke(cli, ["schema", "plan"])
    assert json.loads(one.stdout) == json_schema("plan")
    assert json.loads(CliRunner().invoke(cli, ["schema"]).stdout) == json_schema()


def test_a_hunt_that_is_resumed_follows_its_schema() -> None:
    written = said("hunt", SHIP, "--resume", "sm-056", *SMALL)
    Draft202012Validator(json_schema("hunt")).validate(written)
    assert written["hunt"] == "SM-056"
    assert written["next"]["circuit"] == "sea water lift pump"
    assert written["steps"][0]["act"] == "began"
    twice = CliRunner().invoke(
        cli, ["hunt", SHIP, "--resume", "SM-056", "--system", "main"]
    )
    assert (twice.exit_code, twice.output.count("--resume goes without")) == (2, 1)

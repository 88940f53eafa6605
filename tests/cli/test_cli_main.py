"""The command table: help, version, faults, and what a cold start imports."""

import json
import subprocess
import sys
from importlib import import_module

import pytest
from click.testing import CliRunner

from pipeline.cli import COMMANDS, main

HEAVY = ("spacy", "pandas", "numpy", "scipy", "pint", "pydantic", "rich", "jinja2", "pysubs2")


@pytest.mark.parametrize("option", ["--version", "--help", "-h"])
def test_a_cold_start_loads_no_heavy_library(option):
    code = (
        "import sys\n"
        "from pipeline.cli import main\n"
        "try:\n    main([sys.argv[1]])\n"
        "except SystemExit as done:\n    assert not done.code\n"
        f"print('LOADED', sorted(set({HEAVY!r}) & set(sys.modules)))\n"
    )
    run = subprocess.run([sys.executable, "-c", code, option], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "LOADED []"


def test_help_lists_every_command_of_the_table_with_its_line():
    text = CliRunner().invoke(main, ["-h"]).stdout
    for entry in COMMANDS:
        assert f"{entry.name} " in text
        assert entry.help in text


@pytest.mark.parametrize("entry", COMMANDS, ids=lambda entry: entry.name)
def test_every_command_has_help_with_an_example(entry):
    command = import_module(f"pipeline.cli.{entry.name}").command
    for option in ("-h", "--help"):
        result = CliRunner().invoke(main, [entry.name, option])
        assert result.exit_code == 0
        assert f"stillroom {entry.name}" in result.stdout.split("Example")[1]
    assert len(command.help.splitlines()[0]) <= 60
    assert all(parameter.help for parameter in command.params if parameter.param_type_name == "option")


def test_an_unknown_command_is_wrong_use():
    result = CliRunner().invoke(main, ["drafty"])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "No such command 'drafty'; the commands are draft, " in result.stderr


def test_schema_prints_the_schema_of_the_record():
    schema = json.loads(CliRunner().invoke(main, ["schema"]).stdout)
    assert {"record", "source", "recipes"} <= set(schema["properties"])
    assert "or" in schema["$defs"]["Ingredient"]["properties"]

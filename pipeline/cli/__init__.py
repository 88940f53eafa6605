"""The command line. Each command is a module of this package, imported only when it is run or asked for its help."""

from __future__ import annotations

import importlib
import io
import sys
from dataclasses import dataclass
from typing import Any

import click

from pipeline.errors import StillroomError


@dataclass(frozen=True, slots=True)
class Entry:
    """A command: its `name`, which is also its module in this package, and its one line of help."""

    name: str
    help: str


COMMANDS = (
    Entry("draft", "Write the recipe cards of one or more transcripts."),
    Entry("explain", "Show for a moment what was read, and what became of it."),
    Entry("amend", "Record what a person decided about a record."),
    Entry("load", "Show the load of the dishes of a record."),
    Entry("check", "Hold one serving of each dish against targets."),
    Entry("meal", "Add up one serving of each of several dishes."),
    Entry("fit", "Propose the fewest changes that would make a dish fit."),
    Entry("audit", "List stated temperatures and times, with what is wrong."),
    Entry("foods", "Look foods up in the food table, add your own, check it."),
    Entry("review", "Record or tell who reviewed a record."),
    Entry("shelf", "Keep all episodes in one file, and find what is in them."),
    Entry("schema", "Print the JSON Schema of the episode record."),
)


class CommandTable(click.Group):
    """A group whose commands stand in COMMANDS; a command module offers its click command as `command`."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of the table."""
        return [entry.name for entry in COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command:
        """The command of that name; wrong use, naming those there are, where there is none."""
        known = self.list_commands(ctx)
        if cmd_name not in known:
            ctx.fail(f"No such command {cmd_name!r}; the commands are {', '.join(known)}.")
        command: click.Command = importlib.import_module(f"{__name__}.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, without importing one."""
        with formatter.section("Commands"):
            formatter.write_dl([(entry.name, entry.help) for entry in COMMANDS])

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; a fault of ours becomes one line on standard error and exit status 2.

        A character that the terminal cannot show is printed as a question mark.
        """
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        try:
            return super().invoke(ctx)
        except StillroomError as fault:
            click.echo(f"stillroom: {' '.join(str(fault).split())}", err=True)
            ctx.exit(2)


@click.group(cls=CommandTable, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="stillroom", prog_name="stillroom", message="%(prog)s %(version)s")
def main() -> None:
    """Turn transcripts of a renal-cookery programme into recipes with their renal load.

    \b
    Example:
      stillroom draft episode.srt

    `stillroom COMMAND -h` tells about one command.
    """

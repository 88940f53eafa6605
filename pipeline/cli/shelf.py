"""`stillroom shelf`: the back-catalogue. The commands stand in modules of their own, imported when they are run."""

from __future__ import annotations

import importlib
from dataclasses import dataclass

import click


@dataclass(frozen=True, slots=True)
class Entry:
    """A command of the group: its `name`, the `module` it stands in as `name_`, and its one line of help."""

    name: str
    module: str
    help: str


COMMANDS = (
    Entry("add", "shelf_fill", "Draft transcripts, or take records, into the shelf."),
    Entry("find", "shelf_find", "Find recipes by words, foods, load, heat, time and review."),
    Entry("show", "shelf_find", "Show a recipe of the shelf, or its record."),
    Entry("like", "shelf_find", "List the recipes most like one, by foods and load."),
    Entry("foods", "shelf_report", "List the foods that most recipes use."),
    Entry("trends", "shelf_report", "Show the load of a nutrient over the years."),
    Entry("audit", "shelf_report", "List findings over all episodes."),
    Entry("check", "shelf_keep", "Check that the shelf is whole and agrees with its records."),
    Entry("backup", "shelf_keep", "Copy the shelf while it is in use."),
    Entry("export", "shelf_keep", "Write all episodes as lines of JSON."),
    Entry("import", "shelf_fill", "Take in what export wrote."),
    Entry("remove", "shelf_keep", "Take episodes out of the shelf."),
    Entry("rebuild", "shelf_fill", "Draft the episodes anew after the rules changed."),
)


class ShelfTable(click.Group):
    """A group whose commands stand in COMMANDS."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of the table."""
        return [entry.name for entry in COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command:
        """The command of that name; wrong use, naming those there are, where there is none."""
        modules = {entry.name: entry.module for entry in COMMANDS}
        if cmd_name not in modules:
            ctx.fail(f"No such command {cmd_name!r}; the commands are {', '.join(modules)}.")
        module = importlib.import_module(f"pipeline.cli.{modules[cmd_name]}")
        command: click.Command = getattr(module, f"{cmd_name}_")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, without importing one."""
        with formatter.section("Commands"):
            formatter.write_dl([(entry.name, entry.help) for entry in COMMANDS])


@click.group(cls=ShelfTable)
def command() -> None:
    """Keep years of episodes in one file, and ask it questions.

    \b
    Example:
      stillroom shelf add transcripts/
      stillroom shelf find dessert --without eggs --under phosphorus=150 --reviewed

    The file is stillroom.shelf in this folder, else the one that --shelf or STILLROOM_SHELF names.
    """

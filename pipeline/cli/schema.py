"""`stillroom schema`: the JSON Schema of the episode record."""

from __future__ import annotations

import json

import click


@click.command()
def command() -> None:
    """Print the JSON Schema of the episode record.

    \b
    Example:
      stillroom schema > record.schema.json
    """
    from pipeline.record import Episode

    click.echo(json.dumps(Episode.model_json_schema(by_alias=True), indent=2, ensure_ascii=False))

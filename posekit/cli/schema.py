"""`posekit schema`: the JSON Schema of the prop file, for editors."""

from __future__ import annotations

import click

from posekit.cli.printing import print_json
from posekit.prop.schema import schema


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of the prop file, so that an editor completes and checks it."""
    print_json(schema())

"""Options and arguments that several commands share, so that they are called and mean the same everywhere."""

from __future__ import annotations

import click

model_argument = click.argument("model")
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
force_option = click.option("--force", is_flag=True, help="Replace a file that is there already.")

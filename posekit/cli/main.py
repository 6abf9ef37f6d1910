"""`posekit`: one command per question.

Exit status 0 is fine, 1 means findings of level error, 2 wrong use or input that cannot be used, 130 that it was
interrupted.
"""

from __future__ import annotations

import sys
from importlib import import_module
from io import TextIOWrapper

import click

from posekit import __version__
from posekit.cli.printing import print_aside
from posekit.errors import PosekitError

# One module a command, imported when it is asked for: `posekit pose` need not wait for the others.
COMMANDS = ("pose", "check", "envelope", "move", "motion", "show", "export", "fit", "pieces", "schema")


INTERRUPTED = 130  # as shells count: 128 and the number of the signal


class Commands(click.Group):
    """The commands, each found in the module of its name. click offers subclassing as its way to load lazily."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, in the order of the flow."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"posekit.cli.{cmd_name}").command
        return command

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; input that cannot be used is told and gives exit status 2."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):
                stream.reconfigure(
                    errors="replace"
                )  # a terminal without µ shows a question mark, not nothing
        try:
            return super().invoke(ctx)
        except PosekitError as refused:
            print_aside(refused.findings)
            sys.exit(2)
        except KeyboardInterrupt:
            click.echo("Stopped.", err=True)
            sys.exit(INTERRUPTED)


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="posekit")
def main() -> None:
    """What a prop does before a wire is run: poses, strikes, motion, from lighting-control values.

    Moving figures can pinch and crush. posekit computes; it does not make a prop safe. Do a risk
    assessment, follow local codes and leave what they ask for to licensed people.
    """

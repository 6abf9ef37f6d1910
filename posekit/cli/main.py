"""`posekit`: one command per question.

Exit status 0 is fine, 1 means findings of level error, 2 wrong use or input that cannot be used, 70 that posekit
itself failed, 130 that it was interrupted, 141 that nobody reads what it prints any more.
"""

from __future__ import annotations

import sys
from functools import partial
from importlib import import_module
from typing import Any

import click

from posekit import __version__
from posekit.cli.last_resort import UNREAD, guarded
from posekit.errors import PosekitError, error

# One module a command, imported when it is asked for: `posekit pose` need not wait for the others.
COMMANDS = (
    "new",
    "edit",
    "pose",
    "check",
    "envelope",
    "move",
    "motion",
    "power",
    "hinge",
    "linkage",
    "show",
    "site",
    "export",
    "sheet",
    "notes",
    "fit",
    "pieces",
    "schema",
)


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

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command of the first word. An empty word names nothing, and what is told of it would have no subject."""
        if not all(args):
            sentence = "a word is empty: leave it out, or look whether a variable of the shell is set"
            raise PosekitError([error("wrong-use", "", sentence)])
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command. click would take it for a success of a kind if nobody reads the output any more."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            sys.exit(UNREAD)

    def main(self, *args: Any, **given: Any) -> Any:
        """Run the command that the words name, and end with its exit status; whatever happens is told in words."""
        written: list[str] = []
        run = partial(super().main, *args, **{**given, "standalone_mode": False, "obj": written})
        guarded(run, written)


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="posekit")
def main() -> None:
    """What a prop does before a wire is run: poses, strikes, motion, from lighting-control values.

    Moving figures can pinch and crush. posekit computes; it does not make a prop safe. Do a risk
    assessment, follow local codes and leave what they ask for to licensed people.
    """

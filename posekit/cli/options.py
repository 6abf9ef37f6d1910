"""Options and arguments that several commands share, so that they are called and mean the same everywhere."""

from __future__ import annotations

from typing import Any

import click

from posekit.text import number, printable, whole

model_argument = click.argument("model")
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
force_option = click.option("--force", is_flag=True, help="Replace a file that is there already.")


class Number(click.FloatRange):
    """A number within limits, read as everywhere: Python alone would take 1_000, inf and the digits of any script."""

    name = "number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number that was typed. Raises click.BadParameter, through `fail`, for what is none."""
        if isinstance(value, str) and (typed := value) and (value := number(typed)) is None:
            self.fail(f"'{printable(typed)}' is not a number; write one such as 12.5", param, ctx)
        return super().convert(value, param, ctx)

    def _describe_range(self) -> str:
        return "" if self.min is None and self.max is None else super()._describe_range()


class Whole(click.IntRange):
    """A whole number within limits, read as everywhere."""

    name = "integer"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number that was typed. Raises click.BadParameter, through `fail`, for what is none."""
        if isinstance(value, str) and (typed := value) and (value := whole(typed.strip())) is None:
            self.fail(f"'{printable(typed)}' is not a whole number; write one such as 12", param, ctx)
        return super().convert(value, param, ctx)

    def _describe_range(self) -> str:
        return "" if self.min is None and self.max is None else super()._describe_range()

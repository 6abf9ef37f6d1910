"""The command line: arguments, files, exit status, printing. All of it stays out of the browser."""

from posekit.cli.main import main

__all__ = ["main"]

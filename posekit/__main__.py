"""`python -m posekit` is the command `posekit`."""

from posekit.cli import main

main()

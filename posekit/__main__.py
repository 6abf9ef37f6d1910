"""`python -m posekit` is the command `posekit`."""

from posekit.command import main

main()

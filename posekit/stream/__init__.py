"""Values as they arrive: what the drives are sent over time, before anything moves.

show        drive values over time, with what was wrong in their source
e111        how fast DMX512-A can be
e131        packets of streaming ACN
receiver    what a receiver makes of the packets: which source rules each universe
recorder    slot values, frame by frame, into drive values
capture     capture files of packets into shows
recorded    recorded streams, as CSV, into shows
cues        looks that fade into each other, rendered frame by frame
cue_file    files of cues, in TOML
cue_edit    changes to such files, which keep comments
reader      which kind of file is which
"""

from posekit.stream.reader import read_show
from posekit.stream.show import Show

__all__ = ["Show", "read_show"]

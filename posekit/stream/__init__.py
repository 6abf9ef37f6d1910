"""Values as they arrive: what the drives are sent over time, before anything moves.

In reading order, each building on those above it:

    show        drive values over time, with what was wrong in their source; how many frames they may be
    few         findings of a long file: the first of each kind, the others counted
    recorder    slot values, frame by frame, into drive values
    recorded    recordings as CSV into shows
    e111        how fast DMX512-A can be
    e131        packets of streaming ACN
    notices     what is told of packets: each kind of trouble once for a source
    receiver    what a receiver makes of them: which source rules each universe, and when
    pcapng      packets of a pcapng file, by section and interface
    capture     capture files of packets into shows
    cues        looks that fade into each other, rendered frame by frame
    cue_file    files of cues, in TOML
    cue_edit    changes to such files, which keep comments
    reader      which kind of file is which
"""

from posekit.stream.reader import read_show
from posekit.stream.show import Show

__all__ = ["Show", "read_show"]

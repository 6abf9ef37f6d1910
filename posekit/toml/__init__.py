"""Files of TOML that a builder writes: prop files and lists of cues alike.

reading     text into tables; what is no TOML is told with its line
places      key paths, and the lines on which they stand
structure   tables into data classes, every problem told
editing     one key changed, comments and order kept
"""

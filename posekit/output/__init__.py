"""What posekit hands out: glTF, STL, curves, maps and changed end points. Bytes and text, never paths."""

"""What posekit hands out: glTF, STL, sheets. Bytes and text, never paths."""

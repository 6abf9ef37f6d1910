"""What a prop is: its data classes, its file, and the rules between its parts. Computes no pose."""

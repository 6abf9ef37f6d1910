"""URDF, the description of a robot in XML: parts, what they look like, and the joints between them.

model        what a URDF says, in its own words and units
attributes   numbers, texts and places in the attributes of its elements
solids       visuals and collisions of links
tree         what must hold between links and joints
reader       all of its text as the model
lookup       where the mesh files are that it names, and which it may reach
forms        visuals and collisions as skins and shapes
assembly     all of it as an assembly, in the words and units of a prop
"""

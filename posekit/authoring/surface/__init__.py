"""Which surface a mesh has about a point of it: plane, cylinder, cone, sphere or none of these, and how well it fits.

mesh       faces that meet along edges, the face nearest to a point, what is joined to it
forms      the four surfaces: distance, normal, fit by least squares
grow       regions that one of them explains
recognise  the largest about a face, or why none is told
"""

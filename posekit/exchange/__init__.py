"""Files of others: meshes, CAD assemblies and robot descriptions come in as an `Assembly`.

Nothing here opens a file but `urdf.lookup`.

assembly   what any importer gives
names      names for parts, out of names of others
units      what a file was drawn in
surfaces   surfaces of mesh files, before anybody knows their unit
health     what is doubtful about a mesh
parts      mesh files as an assembly
step       a CAD assembly in STEP
deviation  how far a thinned surface lies from the whole one
thin       fewer triangles within a stated deviation
urdf       a robot description
"""

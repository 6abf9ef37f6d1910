"""The workshop that makes the meshes of the demo props: skins, lofts, feathers, bark. NumPy alone.

Nothing of posekit imports this. `python models/make_meshes.py` writes all meshes anew, the same
vertices every time.
"""

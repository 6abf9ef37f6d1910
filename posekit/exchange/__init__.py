"""Files of others: meshes, CAD assemblies and robot descriptions come in as an `Assembly`."""

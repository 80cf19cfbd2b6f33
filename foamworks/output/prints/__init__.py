"""Solids, meshes and their files."""

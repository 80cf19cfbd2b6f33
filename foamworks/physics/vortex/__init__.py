"""The vortex lattice and what is read from it."""

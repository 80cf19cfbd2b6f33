"""Design and parts meet physics."""

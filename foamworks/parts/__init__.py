"""What is made, in millimetres: outlines, profiles, masses."""

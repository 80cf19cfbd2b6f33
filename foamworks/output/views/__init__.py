"""The aircraft drawn: its bodies, and what the overview makes of them."""

"""Numbers from numbers: formulas in SI that know no design and no file."""

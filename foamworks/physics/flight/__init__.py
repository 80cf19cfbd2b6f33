"""Thrust, drag and motion: fan, motor, boost, pitch, take-off, and what flown speeds tell."""

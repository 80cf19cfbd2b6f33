"""Settle what a design leaves open; what comes out is an aircraft."""

"""Faults, damaged and hostile input: what must hold however bad the day is."""

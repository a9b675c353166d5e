"""Placement problem to positions; knows nothing of cloth."""

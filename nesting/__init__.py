"""Yardage: how little cloth to buy for a costume, and exactly how to cut it."""

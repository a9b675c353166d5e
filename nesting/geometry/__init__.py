"""Polygon mathematics on arrays; knows nothing of garments.

A *ring* is a float64 array of shape (n, 2), n >= 3, in millimetres, not repeating its first
point at its end. A *path* is such an array that stays open. Outer rings run counter-clockwise,
holes clockwise.
"""

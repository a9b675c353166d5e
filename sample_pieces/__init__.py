"""The demonstration: a storm queen dressed by a theatre wardrobe (all data invented here)."""

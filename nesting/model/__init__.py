"""Frozen, validated data: what is read, what is asked, what is found."""

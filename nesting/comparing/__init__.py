"""The same garment on every candidate cloth and width, solved side by side."""

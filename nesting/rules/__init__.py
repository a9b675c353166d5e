"""The trade: plan to placement problem, and positions to layout."""

"""Arranging products and wishes into a regimen that all rules accept."""

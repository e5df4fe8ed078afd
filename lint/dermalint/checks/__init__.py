"""Checks: rules read on a regimen's line of days.  One module a requirement."""

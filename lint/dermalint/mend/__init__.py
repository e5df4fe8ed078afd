"""Mends: changes of a regimen's text that make findings go away, proven before they are shown."""

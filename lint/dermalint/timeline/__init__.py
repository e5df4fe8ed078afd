"""The timeline: a regimen's days, slots and applications laid out on one line of minutes."""

"""The acids pack: spacing, frequency, strength and sun advice for exfoliating acids."""

"""The vitamin C pack: acidity, strength and spacing of ascorbic acid and its derivatives."""

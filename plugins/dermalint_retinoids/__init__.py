"""The retinoids pack: evening use, slow starts and spacing of vitamin A relatives."""

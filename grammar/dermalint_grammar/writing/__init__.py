"""Writing trees as text, part by part."""

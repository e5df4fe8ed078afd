"""dermalint: rules of skin-care regimens, written as sentences and checked before a regimen is published."""

__version__ = "0.1.0"

"""The acne pack: benzoyl peroxide, salicylic acid, sulfur, dapsone and antibiotics on the skin."""

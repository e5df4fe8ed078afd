"""The shipped rule packs: plain `.rules` files, read as data."""

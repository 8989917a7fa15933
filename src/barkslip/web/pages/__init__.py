"""One file per noun: addresses and their pages."""

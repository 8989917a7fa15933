"""The forms, one file per noun. A form is filled from the book, or from what was typed if it comes back."""

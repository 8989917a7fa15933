"""The facts and words of the trade. No files, clock, network or database."""

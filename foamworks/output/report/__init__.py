"""The report: one page that opens without a network."""

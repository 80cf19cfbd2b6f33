"""Files: the only folder that writes."""

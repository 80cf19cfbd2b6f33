"""The new fins: what they do beside the old one, and where they stand."""

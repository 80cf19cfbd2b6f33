"""What the reader needs: where a key stands, what contradicts, the words for a fault, the schema."""

"""Cards for measuring, testing and flying."""

"""What was asked: the design file, read into frozen data in SI."""

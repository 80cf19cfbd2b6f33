"""What fan and motors do: drag, power, boost, pitch, and the flights one change at a time."""

"""What is asked of the flight: motors, thrust line, speed, ignition, heat, and the way up the ladder."""

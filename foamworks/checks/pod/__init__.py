"""Does the pod hold its motors, stand clear, and stand the thrust? One module for each question."""

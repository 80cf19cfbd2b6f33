"""What to change, tried on the whole check, and the answer: may I fly, what is wrong, what do I set, what next."""

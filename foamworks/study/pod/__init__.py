"""What the pods hold and how near they stand to each other and to the rest."""

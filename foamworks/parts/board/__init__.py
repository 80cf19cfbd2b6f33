"""What a sheet of board carries: cut paths, bevels, corners, its layout."""

"""A sheet of board as files: a drawing for the cutter, a picture, paper at full size; and the words on all three."""

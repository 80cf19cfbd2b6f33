"""What is asked at the bench: drawings, measures, boards, sheets, cuts and prints."""

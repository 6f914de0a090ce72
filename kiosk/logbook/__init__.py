"""What is shown to others, printed from the journal: HTML that stands alone, and CSV."""

"""What every printed sheet shares: the typeface, the paper and the PDF file around its pages. reportlab only."""

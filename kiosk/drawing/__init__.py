"""Full-size drawings of what the numbers lay out, as SVG, DXF and a plot in the terminal."""

"""SVG: a drawing file read as filled areas of flat colour."""

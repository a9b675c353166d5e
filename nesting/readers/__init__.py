"""Files to model: DXF, SVG, the plan, open benchmark files, the layout file."""

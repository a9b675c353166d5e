"""An independent check of a layout against its plan."""

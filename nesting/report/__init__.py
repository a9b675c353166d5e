"""Layout to words, figures and files."""

from .layout_file import layout_json, layout_to_dict, write_layout
from .summary import summarise

__all__ = ["layout_json", "layout_to_dict", "summarise", "write_layout"]

"""An independent check of a layout against its plan."""

from .check import check_layout, check_result
from .findings import Finding

__all__ = ["Finding", "check_layout", "check_result"]

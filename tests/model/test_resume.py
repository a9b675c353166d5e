"""Marks by which a plan or a problem is known again."""

import numpy as np

from nesting.model.resume import fingerprint


def test_a_number_is_the_same_whichever_library_holds_it():
    """How numpy writes its numbers changed with its second version; the mark must not."""
    assert fingerprint((np.float64(0.1), np.int64(3))) == fingerprint((0.1, 3))
    assert fingerprint((0.1, 3)) != fingerprint((np.nextafter(0.1, 1.0), 3))

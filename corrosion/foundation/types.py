"""Types shared by all rooms."""

import numpy as np
import numpy.typing as npt

__all__ = ["Array", "BoolArray", "ComplexArray", "IntArray"]

Array = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
ComplexArray = npt.NDArray[np.complex128]
IntArray = npt.NDArray[np.int64]

"""Types shared by all rooms."""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
ComplexArray = npt.NDArray[np.complex128]
IntArray = npt.NDArray[np.int64]

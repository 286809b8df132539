"""Types of arrays as the signatures of all layers name them."""

import numpy as np
from numpy.typing import NDArray

Float = NDArray[np.floating]
Int = NDArray[np.int64]
Bool = NDArray[np.bool_]

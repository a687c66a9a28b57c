"""Colours as people with a colour-vision deficiency see them.

Machado, Oliveira, Fernandes (2009), "A physiologically-based model for simulation of color vision
deficiency", IEEE Transactions on Visualization and Computer Graphics 15(6), 1291-1298: the matrices of
severity 1.0, for linear sRGB. About one man in twelve has one of the first two in some degree.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

DEFICIENCIES: dict[str, NDArray[np.float64]] = {
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
for _matrix in DEFICIENCIES.values():
    _matrix.setflags(write=False)


def seen_with(linear: ArrayLike, deficiency: str) -> NDArray[np.float64]:
    """Return how colours look with a deficiency, in linear sRGB.

    Parameters
    ----------
    linear : array of shape (..., 3)
        Linear sRGB.
    deficiency : str
        A name of `DEFICIENCIES`.

    Returns
    -------
    ndarray of shape (..., 3), float64
        Clipped to [0, 1].
    """
    return np.clip(np.asarray(linear, dtype=np.float64) @ DEFICIENCIES[deficiency].T, 0, 1)

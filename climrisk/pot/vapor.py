"""Saturation pressure as the kernel takes it: the same text for arrays and loop."""

from __future__ import annotations

from typing import Any

#: Saturation pressure over water in Pa, Lowe 1977, J. Appl. Meteor. 16:100, highest
#: power first. A polynomial, since an exponential would cost more than the rest of the
#: balance; -50 to 50 °C, coefficients from memory, tested against the WMO Magnus form.
_A = (
    *(6.136820929e-9, 2.034080948e-6, 3.031240396e-4, 2.650648471e-2),
    *(1.428945805, 44.36518521, 610.7799961),
)


def saturation(t: Any, kind: Any) -> Any:
    """Return the saturation pressure over water; `kind` is the type of numbers. [Pa]"""
    x = kind(_A[0])
    x = x * t + kind(_A[1])
    x = x * t + kind(_A[2])
    x = x * t + kind(_A[3])
    x = x * t + kind(_A[4])
    x = x * t + kind(_A[5])
    return x * t + kind(_A[6])


def saturation_slope(t: Any, kind: Any) -> Any:
    """Return the slope of the polynomial. [Pa/K]"""
    x = kind(6 * _A[0])
    x = x * t + kind(5 * _A[1])
    x = x * t + kind(4 * _A[2])
    x = x * t + kind(3 * _A[3])
    x = x * t + kind(2 * _A[4])
    return x * t + kind(_A[5])

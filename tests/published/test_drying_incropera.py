"""Heat and mass transfer together against Incropera et al., Fundamentals of Heat and Mass Transfer (read in copies)."""

from __future__ import annotations

import pytest

from boottop.windows.film import mass_transfer_m_s


def test_example_6_7_evaporative_cooling() -> None:
    """p. 383: air at 313 K over a volatile film, M 200, 100 kJ/kg, 5 kPa, D 2e-5, alpha 2.25e-5: 5.9 degC."""
    air_j_m3k, lewis = 1.16 * 1007.0, 2.25e-5 / 2.0e-5
    per_heat_m3k_j = mass_transfer_m_s(1.0, air_j_m3k=air_j_m3k, lewis_ratio=lewis)
    film_k = 313.0
    for _ in range(100):
        vapour_kg_m3 = 200.0 * 5000.0 / (8315.0 * film_k)
        film_k = 0.5 * (film_k + 313.0 - 1.0e5 * per_heat_m3k_j * vapour_kg_m3)
    assert film_k - 273.0 == pytest.approx(5.9, abs=0.05)


def test_example_7_3_pool() -> None:
    """p. 420: 12 m pool, 2 m/s, 1.5 m deck, 25 degC, 50 %: Re 1.72e6, 406 kg a day (tolerance 2e-3).

    His Sherwood number is our Nusselt number carried over by the analogy: h_m = h / (rho cp Le^(2/3)) for any alpha.
    The unheated start is that of a mean over the wetted 12 m; like his solution we divide by the whole 13.5 m.
    """
    length_m, nu, diffusion = 13.5, 1.57e-5, 2.6e-5
    reynolds = 2.0 * length_m / nu
    assert reynolds == pytest.approx(1.72e6, rel=2e-3)
    alpha, conductivity_w_mk = 2.25e-5, 0.0261
    start = length_m / 12.0 * (1.0 - (1.5 / length_m) ** 0.9) ** (8.0 / 9.0)
    nusselt = start * 0.037 * reynolds**0.8 * (nu / alpha) ** (1.0 / 3.0)
    heat_w_m2k = nusselt * conductivity_w_mk / length_m
    transfer_m_s = mass_transfer_m_s(heat_w_m2k, air_j_m3k=conductivity_w_mk / alpha, lewis_ratio=alpha / diffusion)
    kg_day = transfer_m_s * 12.0 * 6.0 * 0.0226 * 0.5 * 86_400.0
    assert kg_day == pytest.approx(406.0, rel=2e-3)

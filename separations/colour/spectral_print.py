"""A print whose wood and inks are known by their spectra, and how it looks under a light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from separations.colour.colorimetry import FloatArray, xyz_to_wide_rgb
from separations.colour.ink_spectra import InkSpectra
from separations.colour.lights import Light
from separations.colour.print_model import PrintModel
from separations.colour.spectral_layering import layered_spectra, spectral_surface

#: Areas at which tints are followed from bare to solid.
_STEPS = np.linspace(0.0, 1.0, 33)
#: A channel that an ink moves by less than this (of light to the power 1/n) follows its strongest.
_LEAST_CONTRAST = 0.002
_LEAST_LIGHT = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JobSpectra:
    """What a job tells of its wood and inks as spectra.

    Attributes
    ----------
    names : tuple of str
        The k inks, in print order.
    wood : ndarray, shape (43,), float64
        Reflectance of the bare wood, every 10 nm from 360 nm.
    inks : tuple of InkSpectra
        The inks, in print order.
    curves : ndarray, shape (k, T), float64
        Area under ink (0 to 1) by film tone, evenly spaced from 0 to 1.
    n : float
        Yule-Nielsen factor, at least 1.
    """

    names: tuple[str, ...]
    wood: FloatArray
    inks: tuple[InkSpectra, ...]
    curves: FloatArray
    n: float

    def printed_on(self, wood: FloatArray) -> SpectralPrint:
        """The inks on a wood of one's own; shape (43,)."""
        return SpectralPrint(
            ink_names=self.names, curves=self.curves, n=self.n,
            primaries=layered_spectra(wood, self.inks, spectral_surface(self.inks)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpectralPrint:
    """Wood, k inks and their overprints as reflectance spectra.

    Attributes
    ----------
    ink_names : tuple of str
        In print order.
    primaries : ndarray, shape (2^k, 43), float64
        Reflectance of the bare wood and of each overprint of solids, every 10 nm from 360 nm;
        bit i of the index says whether ink i is there.
    curves : ndarray, shape (k, T), float64
        Area under ink (0 to 1) by film tone, evenly spaced from 0 to 1.
    n : float
        Yule-Nielsen factor, at least 1.
    """

    ink_names: tuple[str, ...]
    primaries: FloatArray
    curves: FloatArray
    n: float

    def spectra(self, tones: ArrayLike) -> FloatArray:
        """Reflectance of film tones (N, k), 0 to 1; shape (N, 43).

        Notes
        -----
        Source: Yule and Nielsen 1951 and Neugebauer 1937 in each band, as Viggiano 1985; areas of
        overprints by Demichel.
        """
        asked = np.asarray(tones, np.float64)
        grid = np.linspace(0.0, 1.0, self.curves.shape[1])
        weight = np.ones((len(asked), 1))
        for tone, curve in zip(asked.T, self.curves, strict=True):
            area = np.interp(tone, grid, curve)[:, None]
            weight = np.concatenate((weight * (1.0 - area), weight * area), axis=1)
        return np.asarray((weight @ self.primaries ** (1.0 / self.n)) ** self.n)

    def under(self, light: Light) -> PrintModel:
        """The print as it looks under a light to an eye that has adapted to it.

        Returns
        -------
        PrintModel
            With the colours, for D50, that look alike. Wood and overprints are exactly those of
            the spectra; tints are mixed in three channels, with a curve for each ink and channel
            by which its own tints on the wood come out as the spectra's do.
        """
        bent = self.primaries ** (1.0 / self.n)
        rgb = self._rgb(self.primaries, light)
        seen = rgb ** (1.0 / self.n)
        curves = np.empty((len(self.ink_names), 3, self.curves.shape[1]))
        for ink, own in enumerate(curves):
            ramp = bent[0] * (1.0 - _STEPS)[:, None] + bent[1 << ink] * _STEPS[:, None]
            contrast = seen[1 << ink] - seen[0]
            weak = np.abs(contrast) < _LEAST_CONTRAST
            areas = ((self._rgb(ramp**self.n, light) ** (1.0 / self.n) - seen[0])
                     / np.where(weak, np.inf, contrast))
            areas = np.where(weak, areas[:, [int(np.abs(contrast).argmax())]], areas)
            rising = np.maximum.accumulate(np.clip(areas, 0.0, 1.0))
            rising[-1] = 1.0
            for channel in range(3):
                own[channel] = np.interp(self.curves[ink], _STEPS, rising[:, channel])
        return PrintModel(
            ink_names=self.ink_names, primaries_rgb=rgb, measured=np.arange(len(rgb)) == 0,
            curves=curves, n=np.full(3, self.n), spread=np.empty((0, 3)))

    @staticmethod
    def _rgb(spectra: FloatArray, light: Light) -> FloatArray:
        return np.maximum(xyz_to_wide_rgb(light.xyz(spectra) @ light.to_d50.T), _LEAST_LIGHT)

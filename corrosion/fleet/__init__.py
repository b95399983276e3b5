"""Many ships side by side, in processes of this machine or on a Dask cluster."""

"""Inference of fault resistance from readings, at its public import path."""

from corrosion.leakage.inference.infer import infer_fault

__all__ = ["infer_fault"]

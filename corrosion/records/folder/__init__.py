"""A ship folder to dataclasses and back."""

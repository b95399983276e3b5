"""Metal lost: from amperes at bare steel to thickness left.

Pure functions over arrays in SI units, the sample axis first. Currents are positive
where they leave the metal into the water.
"""

"""Dashboard pages, one file a question: inputs, one library call, outputs.

No number is computed here; what a page shows, a command prints.
"""

"""The answers: one computation behind each command and the page that shows the same.

Each module returns plain objects (numbers, text, None) as the command prints in JSON.
"""

"""The command `roundover`: one command per file."""

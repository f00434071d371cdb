"""What a cabinet is built of: walls, the air inside, and the boards it is cut from."""

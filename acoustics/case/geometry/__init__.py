"""From the tables of a cabinet to its body, shell, walls and mouths."""

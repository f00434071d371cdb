"""The live page: a server on this machine alone, and what the browser draws."""

"""The finished loudspeaker against its design: is it what was drawn, and if not, why?"""

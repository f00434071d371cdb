"""How much of anything one page may ask for, and how long the server waits."""

from __future__ import annotations

LARGEST_MESSAGE = 16 * 1024
"""bytes; a draft of a dozen drivers takes one or two thousand"""

MESSAGES_PER_SECOND = 120
"""of one tab: two for every picture that a screen shows"""

FLOOD = 10
"""times as many messages as that end the connection"""

MOST_TABS = 8

MOST_WAITING = 16
"""messages that are to go to one tab; curves and shares of progress are not counted, as the newest
of them takes the place of the one before"""

LOOK_EVERY = 1.0
"""seconds between two looks at the file"""

HAND_RESTS = 0.25
"""seconds without a message after which a hand that holds something does not move"""

FIGURES_FOLLOW = 0.12
"""seconds: no more often are figures told while a hand moves, which takes a fifth of an answer"""

REMEMBERED = 16
"""exact answers that are kept, so that taking a step back costs nothing; and texts of the file, so
that a tab that lost its connection can go on"""

LONGEST_WORDS = 400
"""letters of one message about what was wrong with another"""

PING = 20.0
"""seconds of silence after which a connection is asked whether it is still there"""

PATIENCE = 2.0
"""seconds that threads are given to end"""

ALMOST = 0.99
"""the largest share that is told of work that is not done"""

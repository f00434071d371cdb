"""What was measured of the finished loudspeaker: from files to arrays, with what was doubtful."""

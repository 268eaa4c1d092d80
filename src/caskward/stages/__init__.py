"""What a maker does to matter: one function per stage, for one world or for thousands.

stream   what passes from stage to stage: masses and a temperature, everything else derived
balance  named losses, and the proof that mass and (potential) alcohol close
cook · convert · ferment · separate · distil · blend · reduce · mature
"""

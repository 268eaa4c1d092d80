"""What a maker does to matter: one function per stage, for one world or for thousands.

stream   what passes from stage to stage: masses and a temperature, everything else derived
balance  named losses, and the proof that mass and (potential) alcohol close
pots     a cook pot by pot (stirring, swelling) into a tub that cools (tub_heat, landing); additions, rinse
mashing  a mash hour by hour: enzymes (labels, malt), mash_starch, mash_steps; iodine is its yes-or-no test
cook · convert · ferment · separate · distil · blend · reduce · mature
fermenting  a ferment by the hour: yeast (cells, needs), ferment_steps, ferment_settings, ferment_record
distil   a charge to a stop, from the spout down: still (columns, holdup, head), profile, moments, traces
runs     strip and spirit run on it: charges, receivers, trade_off
"""

"""What is this really, and how much water? Readings to strength with the instrument's doubt, and mixing.

figure · instruments           a figure with its doubt, and how doubt is carried through a calculation
readings · strength · amounts  what was read in a spirit, what it really is, how much of it there is
freezing                       where it begins to freeze, so that no reading counts
solids · gravity · attenuation what dissolved solids hide; sugar solutions and washes
liquids · mixing · steps       reducing, blending, topping up, by mass with contraction; over several days
label · us_manual              a label's tolerance; the US Gauging Manual's own arithmetic
"""

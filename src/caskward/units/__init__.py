"""What a maker types and reads; inside, each quantity has one unit.

types    Strength, Gravity, Reading, Dose: values that carry their basis or scale
convert  exact factors with their sources, and small functions both ways
numbers  how a number may be written: decimal comma, thousands, fractions
kind     a kind of quantity; names: all that a unit of each kind may be called
typed    one value on its way in, with the sentences it may end in
parse    typed text to the internal unit; show: the internal unit to the maker's own
rounding up to what a scale or a jug can show
"""

"""What matter does: pure functions on floats or arrays, same shape out, no state.

alcohol: ethanol-water density, strength, proof, dilution | air: buoyancy | water: 0-100 °C | sugar: sucrose
solutions, gravity, refractometer | wash: water + ethanol + solids | vle: boiling, azeotrope | congeners:
how volatile the traces are | heat: warming, cooling, boiling, mixing. Every function names its source
(a key of `sources.toml`), units, valid range and error, and refuses what lies outside its range.
"""

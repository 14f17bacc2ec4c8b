"""The wiring: what a loom document says, what its circuit does, and what can be wrong with it.

``document`` reads it, ``faults`` names what can be wrong, ``circuit`` solves it and ``solution`` holds the answer,
``spice`` writes it for another program. Below them: ``kinds`` (the table of components), ``network`` (nodes and what
never changes), ``state`` (a set of joined contacts), ``devices`` (bulbs and diodes), ``fuses``, ``advice``.
"""

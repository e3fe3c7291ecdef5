"""A whole job solved another way: root finding with other people's libraries, nothing of hydrocalc and no sheet.

The input table is read for its values and defaults, and the tables of facts for theirs; every calculation is done
here, from the physics: scipy finds the roots and integrates, ``fluids`` knows friction, ``ht`` exchangers, ``iapws``
water, ``CoolProp`` antifreeze, ``numpy_financial`` money, and ``conduction`` the ground about the lines.
"""

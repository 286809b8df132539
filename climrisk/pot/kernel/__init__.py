"""The compiled loop over hours, and everything only it needs.

One hour of a pot, in the order in which `loop` computes it
----------------------------------------------------------
1. *Output.* `column.summarize` or `volumes.summarize` gives the medium's mean
   temperature and the one on its axis at the start of the hour, and the temperatures
   behind wall and top.
2. *Forcing.* The eight rows of the hour that begins (`NOW`) are those that were read
   as the next hour's a step before (`LATER`): air [°C], vapor pressure [Pa], wind
   [m/s], longwave on wall and top [W/m2], sunlight on wall and top [W/m2], floor [°C].
   Between two hours they are joined by straight lines. For maps the rows are not read:
   `spot_hour` works them out from the station's hours, with the nights of `spot_night`
   and the daily sums of `spot_sums`; `spot_rows` says where each number is.
3. *Surfaces.* `surfaces.balance` solves the heat balance of wall and top by Newton,
   once an hour at both of its ends: longwave, sunlight, convection with the film
   coefficient of the wind, evaporation by wetness. It leaves the flux at both ends and
   its slope, which goes into the matrix, so that no step is too long for stability.
4. *Matrix.* `edges` turns fluxes and slopes into sources of the volumes, `factor`
   eliminates the matrix once: tridiagonal for shells of one layer (`column`), banded
   for volumes in r and z (`volumes`).
5. *Sub-steps.* Each is two implicit `stage`s (SDIRK2, L-stable: Alexander 1977, SIAM
   J. Numer. Anal. 14:1006). After each, `freeze` moves heat between ice and
   temperature where a volume is near freezing. `gain` adds up the heat that came in,
   for tests of conservation.
6. *Water.* With a water budget, `volumes.drink` takes what evaporated and waters when
   it is due.

Memory layout
-------------
Cases (pots, ensemble members, winters, cells) are marched in blocks of `LANES` = 64.
All numbers of a block are rows of one flat array `w`, a row of 64 lanes for each
number: ``w[u(ROW) + c]`` is lane c of a row. The offsets are named in `simd_layout`
(rows of every block), `column_rows` and `volume_rows` (interior) and `spot_rows`.
One array with rows at fixed distances tells the compiler that nothing overlaps, so
that each loop over lanes becomes vector code; indices are unsigned, because a signed
one is tested against zero in every lane. `packing` fills the array and reads it back;
`integrator` hands a pot and its hours to `march`, which calls the loop: the machine
code on the disk where there is some (`climrisk.core.compiled`), so that `loop` and its
pieces are imported only to be compiled. `lay_out` is a small loop of its own: it puts
the hours of a spot into the rows that the loop over hours reads. Nothing outside this
package knows the layout.

A block of shells is marched a day at a stretch, so that it stays in the nearest cache;
then comes the next block.

Why it is written this way
--------------------------
The pieces are put into the loop before it is compiled (`climrisk.physics.pieces`),
because only then are row offsets constants. The number of shells and the width of the
band are types (tuples), so that loops over them unroll. A bare ``0.5`` is double
precision in compiled code and would turn everything it meets, so that numbers pass
through `kind`, the arrays' type. Formulas of the spot are not written twice: the text
of the array formulas is compiled with single-precision constants (``single``). Tests:
``tests/published/test_volumes.py``, ``test_conduction.py`` and
``test_pots_in_weather.py``.
"""

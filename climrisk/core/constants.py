"""Physical constants: value, unit and source."""

from __future__ import annotations

from typing import Final

#: Zero of the Celsius scale in kelvin [K]; exact, SI brochure (BIPM 2019) sec. 2.3.1.
ZERO_CELSIUS_K: Final = 273.15
#: Stefan-Boltzmann constant [W m-2 K-4]; CODATA 2018, exact since 2019.
STEFAN_BOLTZMANN: Final = 5.670374419e-8
#: Standard sea-level pressure [Pa]; ISO 2533:1975.
STANDARD_PRESSURE_PA: Final = 101_325.0
#: Ratio of the molar masses of water and dry air [-]; WMO-No. 8 annex 4.A.
EPSILON_WATER_AIR: Final = 0.622
#: Specific heat of moist air at constant pressure [J kg-1 K-1]; FAO-56 eq. 8 uses 1013,
#: dry air near 20 C is 1005 (Cengel & Ghajar, Heat and Mass Transfer, table A-15).
CP_AIR: Final = 1005.0
#: Standard gravity [m s-2]; 3rd CGPM (1901), exact.
GRAVITY: Final = 9.80665
#: Lewis number of water vapor in air to the power 2/3 [-]; Cengel & Ghajar ex. 14-13.
LEWIS_TWO_THIRDS: Final = 0.90
# Fall of what a station measures with height, mean and standard deviation [K/km]; the
# deviations are our estimates but that of the night.
#: Of night minima: between the 2.5-3.5 of late-summer minima and the 3.9-5.2 of annual
#: means of Minder et al. 2010 (JGR 115:D14122, abstract); 6.5 overestimates minima
#: grossly (Blandford et al. 2008, J. Appl. Meteor. Climatol. 47:249, abstract).
NIGHT_LAPSE_K_KM: Final = (3.5, 1.0)
#: Of the day: 6.5 fits maxima (Blandford et al. 2008), 6.5-7.5 in spring (Minder et al.
#: 2010).
DAY_LAPSE_K_KM: Final = (6.5, 1.0)
#: Of the dew point: vapor pressure falls by 0.33 (August) to 0.42 (February) of itself
#: a kilometer (monthly coefficients by Kunkel, as the Canadian Hydrological Model
#: carries them), which at the usual dew points of these months is 5.0-5.6 K/km.
DEW_LAPSE_K_KM: Final = (5.3, 1.0)

"""Fresh rows off the stored grid, worked out by reference libraries and by the project, compared.

  tests/reference/run                      fresh rows of every table, one seed
  tests/reference/run --seed 7 --rows 2000 other rows, more of them
  tests/reference/run --table combustion   one table
  tests/reference/run --command dripleg calc   another program with the same options

Each table is made here from the libraries named beside it, written as CSV, worked out by the project's
row engine, and held against the tolerances of tests/fixtures/golden/tables.json.
"""

import argparse
import csv
import json
import math
import pathlib
import subprocess
import sys
import tempfile

import cantera
import CoolProp
import fluids
import fluids.flow_meter
import numpy
import pint
import psychrolib
import scipy.stats
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI
from fluids.atmosphere import ATMOSPHERE_1976

ROOT = pathlib.Path(__file__).resolve().parents[2]
GAS_CONSTANT = 8.314462618
BTU, FT3, INCH, FOOT = 1055.05585262, 0.028316846592, 0.0254, 0.3048
PSI, INWC, ATMOSPHERE = 6894.757293168361, 249.08891, 101325.0
T60F = (60 + 459.67) / 1.8
AIR = {"N2": 0.780878, "O2": 0.209390, "Ar": 0.009332, "CO2": 0.0004}
AIR_KG = 0.02896546
MOLAR_G = {"CO2": 44.0095, "CO": 28.0101, "O2": 31.9988, "N2": 28.0134, "Ar": 39.948, "SO2": 64.0638,
           "H2O": 18.01528}
# Component of the row engine: its name in Cantera, and its atoms C, H, O, N, S.
COMPONENTS = {
    "CH4": ("CH4", (1, 4, 0, 0, 0)),
    "C2H6": ("C2H6", (2, 6, 0, 0, 0)),
    "C3H8": ("C3H8", (3, 8, 0, 0, 0)),
    "nC4H10": ("C4H10,n-butane", (4, 10, 0, 0, 0)),
    "iC4H10": ("C4H10,isobutane", (4, 10, 0, 0, 0)),
    "nC5H12": ("C5H12,n-pentane", (5, 12, 0, 0, 0)),
    "C3H6": ("C3H6,propylene", (3, 6, 0, 0, 0)),
    "H2": ("H2", (0, 2, 0, 0, 0)),
    "CO": ("CO", (1, 0, 1, 0, 0)),
    "H2S": ("H2S", (0, 2, 0, 0, 1)),
    "N2": ("N2", (0, 0, 0, 2, 0)),
    "O2": ("O2", (0, 0, 2, 0, 0)),
    "CO2": ("CO2", (1, 0, 2, 0, 0)),
    "Ar": ("Ar", (0, 0, 0, 0, 0)),
}
SPECIES = {species.name: species.thermo for species in cantera.Species.list_from_file("nasa_gas.yaml")}
FAHRENHEIT = lambda f: (f + 459.67) / 1.8


def heat(name, kelvin):
    """Enthalpy with formation, J/mol (Cantera)."""
    return SPECIES[name].h(kelvin) / 1000


def saturation(kelvin):
    """Saturation pressure, Pa: IAPWS-95 (CoolProp), IAPWS R14-08 below the triple point."""
    if kelvin >= 273.16:
        return PropsSI("P", "T", kelvin, "Q", 0, "Water")
    theta = kelvin / 273.16
    terms = zip((-21.2144006, 27.3203819, -6.1059813), (0.00333333333, 1.20666667, 1.70333333))
    return 611.657 * math.exp(sum(a * theta**b for a, b in terms) / theta)


def dew_point(pascals):
    """Saturation temperature, K."""
    if pascals >= 611.657:
        return PropsSI("T", "P", pascals, "Q", 0, "Water")
    low, high = 180.0, 273.16
    for _ in range(70):
        middle = (low + high) / 2
        low, high = (middle, high) if saturation(middle) < pascals else (low, middle)
    return (low + high) / 2


class Fuel:
    """A gas with its atoms; the heating value comes from the row engine and is checked apart."""

    def __init__(self, name, shares, gross):
        self.name, self.shares, self.gross = name, shares, gross
        self.atoms = [sum(x * COMPONENTS[k][1][i] for k, x in shares.items()) for i in range(5)]
        c, h, o, _, s = self.atoms
        self.oxygen = c + h / 4 + s - o / 2
        self.air = self.oxygen / AIR["O2"]

    def sensible(self, kelvin):
        names = ((COMPONENTS[k][0], x) for k, x in self.shares.items())
        return sum(x * (heat(n, kelvin) - heat(n, T60F)) for n, x in names)


def burn(fuel, excess, flue, air, humidity, pressure, ppm):
    """Products and heat of one mole, all in SI; excess and humidity as shares."""
    c, h, _, n, s = fuel.atoms
    dry_air = (1 + excess) * fuel.air
    vapour = humidity * saturation(air)
    moisture = dry_air * vapour / (pressure - vapour)
    moles = {
        "N2": dry_air * AIR["N2"] + n / 2,
        "Ar": dry_air * AIR["Ar"] + fuel.shares.get("Ar", 0.0),
        "SO2": s,
        "O2": excess * fuel.oxygen,
        "CO2": c + dry_air * AIR["CO2"],
    }
    co = ppm * 1e-6
    monoxide = co * sum(moles.values()) / (1 - co / 2)
    moles |= {"CO": monoxide, "O2": moles["O2"] + monoxide / 2, "CO2": moles["CO2"] - monoxide}
    dry = sum(moles.values())
    moles["H2O"] = h / 2 + moisture
    wet = dry + moles["H2O"]
    rise = lambda name, low, high: heat(name, high) - heat(name, low)
    gross, latent = fuel.gross, h / 2 * 44408.0
    brought = fuel.sensible(air) + moisture * rise("H2O", T60F, air)
    brought += dry_air * sum(x * rise(k, T60F, air) for k, x in AIR.items())
    left = sum(x * rise(k, T60F, flue) for k, x in moles.items())
    useful = gross + brought - left - latent - monoxide * 282910.0
    dew = dew_point(pressure * moles["H2O"] / wet)
    won = 0.0
    if flue < dew:
        share = saturation(flue) / pressure
        drops = max(0.0, moles["H2O"] - dry * share / (1 - share))
        liquid = lambda t: PropsSI("Hmolar", "T", max(t, 273.16), "Q", 0, "Water")
        won = drops * (rise("H2O", T60F, flue) + 44408.0 - (liquid(flue) - liquid(T60F)))
    stoichiometric = fuel.air * (1 - AIR["O2"]) + n / 2 + c + s + fuel.shares.get("Ar", 0.0)
    return dict(
        moles=moles, dry=dry, wet=wet, dew=dew, stoichiometric=stoichiometric, latent=latent,
        useful=useful, won=won, monoxide=monoxide,
        dry_loss=sum(x * rise(k, air, flue) for k, x in moles.items() if k != "H2O"),
        vapour_loss=moles["H2O"] * rise("H2O", air, flue),
        kilograms=sum(x * MOLAR_G[k] for k, x in moles.items()) / 1000 / wet,
    )


class Engine:
    """The project's row engine, behind its command."""

    def __init__(self, command):
        self.command = command

    def run(self, table, rows, fuels=None):
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            write(folder / "rows.csv", rows)
            arguments = [*self.command, table, "--rows", str(folder / "rows.csv")]
            if fuels:
                write(folder / "fuels.csv", fuels)
                arguments += ["--fuels", str(folder / "fuels.csv")]
            done = subprocess.run(arguments, capture_output=True, text=True, check=False)
            if done.returncode:
                sys.exit(f"{' '.join(arguments)}: {done.stderr}")
            return list(csv.DictReader(done.stdout.splitlines()))


def write(path, rows):
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def random_fuels(rng, engine, count):
    """Pipeline gases, hydrogen blends, landfill gases and LP mixes."""
    weights = [
        dict(CH4=60, C2H6=4, C3H8=1, nC4H10=0.3, iC4H10=0.3, nC5H12=0.1, N2=2, CO2=1.5),
        dict(CH4=50, C2H6=3, C3H8=1, N2=2, CO2=1, H2=20),
        dict(CH4=50, CO2=35, N2=10, O2=1, H2S=0.2),
        dict(C3H8=60, C3H6=4, nC4H10=4, iC4H10=3, C2H6=1),
        dict(H2=40, CO=8, CH4=25, N2=10, CO2=4, Ar=0.2),
    ]
    rows, fuels = [], []
    for number in range(count):
        drawn = {k: w * rng.exponential() for k, w in weights[number % len(weights)].items()}
        total = sum(drawn.values())
        shares = {k: x / total for k, x in drawn.items()}
        fuels.append((f"mix{number}", shares))
        columns = {f"x_{k}_mol_mol": shares.get(k, 0.0) for k in COMPONENTS}
        rows.append({"fuel": f"mix{number}", **columns})
    found = engine.run("fuels", rows)
    made = []
    for (name, shares), own in zip(fuels, found):
        if own["error"]:
            sys.exit(f"{name}: {own['error']}")
        fuel = Fuel(name, shares, 1000 * float(own["HHV_60F_kJ_per_mol_or_kg"]))
        c, h, _, _, s = fuel.atoms
        burned = c * heat("CO2", 298.15) + h / 2 * (heat("H2O", 298.15) - 44013.0)
        burned += s * heat("SO2", 298.15)
        cold = sum(x * heat(COMPONENTS[k][0], 298.15) for k, x in shares.items())
        off = float(own["HHV_25C_kJ_per_mol_or_kg"]) * 1000 / (cold - burned) - 1
        if abs(off) > 1e-3:
            sys.exit(f"{name}: ISO 6976 and Cantera heats of burning differ by {off:.1e}")
        made.append(fuel)
    return made, rows


def combustion(rng, engine, count):
    """Cantera, CoolProp."""
    fuels, table = random_fuels(rng, engine, 40)
    rows, wanted = [], []
    for number in range(count):
        fuel = fuels[number % len(fuels)]
        air = rng.uniform(-25, 45)
        flue = rng.uniform(max(20, air), 600) if rng.random() < 0.7 else rng.uniform(max(20, air), 75)
        excess = rng.uniform(0, 900) if rng.random() < 0.3 else rng.uniform(0, 150)
        row = dict(fuel=fuel.name, excess_air_pct=excess, flue_temp_C=flue, air_temp_C=air,
                   air_rh_pct=rng.uniform(0, 100), pressure_Pa=rng.uniform(65e3, 105e3),
                   co_dry_ppm=rng.uniform(0, 2000) if rng.random() < 0.5 else 0.0)
        got = burn(fuel, excess / 100, flue + 273.15, air + 273.15, row["air_rh_pct"] / 100,
                   row["pressure_Pa"], row["co_dry_ppm"])
        moles, gross = got["moles"], fuel.gross
        net = gross - got["latent"]
        share = lambda name, whole: 100 * moles[name] / got[whole]
        want = dict(
            excess_air_pct=excess, o2_dry_pct=share("O2", "dry"), co2_dry_pct=share("CO2", "dry"),
            h2o_wet_pct=share("H2O", "wet"),
            co_air_free_exact_ppm=1e6 * got["monoxide"] / got["stoichiometric"],
            co2max_dry_pct=100 * (fuel.atoms[0] + fuel.air * AIR["CO2"]) / got["stoichiometric"],
            dewpoint_C=got["dew"] - 273.15,
            loss_dry_sensible_pct_HHV=100 * got["dry_loss"] / gross,
            loss_water_vapour_sensible_pct_HHV=100 * got["vapour_loss"] / gross,
            loss_latent_pct_HHV=100 * got["latent"] / gross,
            loss_CO_pct_HHV=100 * got["monoxide"] * 282910.0 / gross,
            eff_gross_nocond_pct=100 * got["useful"] / gross,
            eff_gross_pct=100 * (got["useful"] + got["won"]) / gross,
            eff_net_nocond_pct=100 * got["useful"] / net,
            eff_net_pct=100 * (got["useful"] + got["won"]) / net)
        if number % 2:
            row["o2_dry_pct"], row["excess_air_pct"] = want["o2_dry_pct"], ""
        else:
            row["o2_dry_pct"] = ""
        rows.append(row)
        wanted.append(want)
    return rows, wanted, table


def saturation_rows(rng, engine, count):
    """CoolProp; IAPWS R14-08."""
    rows = [dict(temp_C=rng.uniform(-40, 150)) for _ in range(count)]
    return rows, [dict(psat_Pa=saturation(row["temp_C"] + 273.15)) for row in rows], None


def clocking(rng, engine, count):
    """fluids (atmosphere)."""
    rows, wanted = [], []
    for _ in range(count):
        row = dict(dial_ft3_per_rev=float(rng.choice([0.5, 1, 2, 5, 10])), revs=int(rng.integers(1, 6)),
                   seconds=rng.uniform(10, 400), meter_gauge_inwc=rng.uniform(3, 140),
                   altitude_ft=rng.uniform(-300, 12000), gas_temp_F=rng.uniform(0, 110),
                   hhv_Btu_per_scf=rng.uniform(500, 2600), hhv_base_psia=float(rng.choice([14.73, 14.65])),
                   hhv_base_F=60)
        barometer = ATMOSPHERE_1976(row["altitude_ft"] * FOOT).P
        actual = 3600 * row["dial_ft3_per_rev"] * row["revs"] / row["seconds"]
        pressure = (barometer + row["meter_gauge_inwc"] * INWC) / (row["hhv_base_psia"] * PSI)
        warmth = T60F / FAHRENHEIT(row["gas_temp_F"])
        heat_rate = actual * pressure * warmth * row["hhv_Btu_per_scf"]
        rows.append(row)
        wanted.append(dict(baro_Pa=barometer, actual_cfh=actual, pressure_factor=pressure,
                           temperature_factor=warmth, std_cfh_at_base=actual * pressure * warmth,
                           heat_input_Btu_h=heat_rate, heat_input_kW=heat_rate * BTU / 3.6e6,
                           heat_input_uncorrected_Btu_h=actual * row["hhv_Btu_per_scf"]))
    return rows, wanted, None


def orifice(rng, engine, count):
    """fluids (nozzle expansibility)."""
    rows, wanted = [], []
    for _ in range(count):
        row = dict(diameter_in=rng.uniform(0.01, 0.4), manifold_gauge_inwc=rng.uniform(0.1, 60),
                   sg_air1=rng.uniform(0.3, 2.1), gamma=rng.uniform(1.08, 1.4), cd=rng.uniform(0.6, 0.98),
                   baro_Pa=rng.uniform(65e3, 105e3), gas_temp_F=rng.uniform(-10, 120),
                   hhv_Btu_per_scf_60F_14p696=rng.uniform(400, 3300))
        drop = row["manifold_gauge_inwc"] * INWC
        inside = row["baro_Pa"] + drop
        molar = row["sg_air1"] * AIR_KG
        density = inside * molar / (GAS_CONSTANT * FAHRENHEIT(row["gas_temp_F"]))
        expansibility = fluids.flow_meter.nozzle_expansibility(
            D=1.0, Do=1e-4, P1=inside, P2=row["baro_Pa"], k=row["gamma"])
        area = math.pi / 4 * (row["diameter_in"] * INCH) ** 2
        mass = row["cd"] * area * expansibility * math.sqrt(2 * density * drop)
        flow = mass / (ATMOSPHERE * molar / (GAS_CONSTANT * T60F)) * 3600 / FT3
        rows.append(row)
        wanted.append(dict(expansibility=expansibility, mass_flow_kg_h=3600 * mass,
                           std_cfh_60F_14p696psia=flow,
                           heat_Btu_h=flow * row["hhv_Btu_per_scf_60F_14p696"],
                           trade_cfh_1658p5=1658.5 * row["cd"] * area / INCH**2
                           * math.sqrt(row["manifold_gauge_inwc"] / row["sg_air1"])))
    return rows, wanted, None


def pipe(rng, engine, count):
    """fluids (Colebrook, isothermal compressible flow)."""
    rows, wanted = [], []
    while len(rows) < count:
        row = dict(id_in=float(rng.choice([0.622, 1.049, 1.61, 2.067, 4.026])), length_ft=rng.uniform(5, 400),
                   flow_scfh_60F_14p696=10 ** rng.uniform(1.5, 4), sg_air1=rng.uniform(0.5, 1.6),
                   viscosity_cP=rng.uniform(0.007, 0.013), inlet_gauge_inwc=rng.uniform(5, 60),
                   baro_Pa=rng.uniform(65e3, 105e3), gas_temp_F=rng.uniform(20, 100), roughness_ft=0.00015)
        bore, length = row["id_in"] * INCH, row["length_ft"] * FOOT
        inlet = row["baro_Pa"] + row["inlet_gauge_inwc"] * INWC
        specific, kelvin = GAS_CONSTANT / (row["sg_air1"] * AIR_KG), FAHRENHEIT(row["gas_temp_F"])
        mass = row["flow_scfh_60F_14p696"] * FT3 / 3600 * ATMOSPHERE / (specific * T60F)
        reynolds = 4 * mass / (math.pi * bore * row["viscosity_cP"] / 1000)
        if reynolds < 4000:
            continue
        friction = fluids.friction_factor(Re=reynolds, eD=row["roughness_ft"] * FOOT / bore, Method="Colebrook")
        try:
            outlet = fluids.isothermal_gas(rho=inlet / (specific * kelvin), fd=friction, P1=inlet, L=length,
                                           D=bore, m=mass)
        except Exception:  # The library raises several kinds where the pipe cannot pass the flow.
            continue
        if outlet < row["baro_Pa"]:
            continue
        cr = 0.00354 * row["sg_air1"] * 520 * (row["viscosity_cP"] / row["sg_air1"]) ** 0.152
        code = cr * row["length_ft"] * (row["flow_scfh_60F_14p696"] ** 0.381 / (19.17 * row["id_in"])) ** (1 / 0.206)
        rows.append(row)
        wanted.append(dict(reynolds=reynolds, drop_exact_isothermal_inwc=(inlet - outlet) / INWC,
                           drop_ifgc_lowpressure_inwc=code, regime="turbulent"))
    return rows, wanted, None


def plate(rng, engine, count):
    """fluids (ISO 5167)."""
    rows, wanted = [], []
    for _ in range(count):
        row = dict(pipe_id_mm=rng.uniform(50, 300), bore_mm=0, p1_kPa_abs=rng.uniform(102, 800), dp_kPa=0,
                   temp_C=rng.uniform(-10, 40), sg_air1=rng.uniform(0.55, 1.6), gamma=rng.uniform(1.1, 1.35),
                   viscosity_Pa_s=rng.uniform(0.8e-5, 1.3e-5), taps=str(rng.choice(["corner", "flange", "D"])))
        row["bore_mm"] = row["pipe_id_mm"] * rng.uniform(0.2, 0.74)
        row["dp_kPa"] = row["p1_kPa_abs"] * rng.uniform(0.001, 0.2)
        pipe_m, bore, inlet = row["pipe_id_mm"] / 1e3, row["bore_mm"] / 1e3, row["p1_kPa_abs"] * 1e3
        outlet = inlet - row["dp_kPa"] * 1e3
        density = inlet * row["sg_air1"] * AIR_KG / (GAS_CONSTANT * (row["temp_C"] + 273.15))
        mass = fluids.flow_meter.differential_pressure_meter_solver(
            D=pipe_m, D2=bore, P1=inlet, P2=outlet, rho=density, mu=row["viscosity_Pa_s"], k=row["gamma"],
            meter_type="ISO 5167 orifice", taps=row["taps"])
        rows.append(row)
        wanted.append(dict(
            mass_flow_kg_s=mass,
            discharge_coefficient_RHG=fluids.flow_meter.C_Reader_Harris_Gallagher(
                D=pipe_m, Do=bore, rho=density, mu=row["viscosity_Pa_s"], m=mass, taps=row["taps"]),
            expansibility_ISO5167_2=fluids.flow_meter.orifice_expansibility(
                D=pipe_m, Do=bore, P1=inlet, P2=outlet, k=row["gamma"])))
    return rows, wanted, None


def airflow(rng, engine, count):
    """CoolProp (humid air)."""
    rows, wanted = [], []
    for _ in range(count):
        inlet = rng.uniform(-10, 90)
        row = dict(heat_output_Btu_h=rng.uniform(2e4, 6e5), inlet_F=inlet, outlet_F=inlet + rng.uniform(10, 110),
                   inlet_rh_pct=rng.uniform(0, 90), altitude_ft=rng.uniform(0, 12000))
        pressure = ATMOSPHERE_1976(row["altitude_ft"] * FOOT).P
        cold, hot = FAHRENHEIT(inlet), FAHRENHEIT(row["outlet_F"])
        ratio = HAPropsSI("W", "T", cold, "P", pressure, "R", row["inlet_rh_pct"] / 100)
        state = lambda name, t: HAPropsSI(name, "T", t, "P", pressure, "W", ratio)
        mass = row["heat_output_Btu_h"] * BTU / 3600 / (state("H", hot) - state("H", cold))
        cfm = lambda volume: mass * volume * 60 / FT3
        rows.append(row)
        wanted.append(dict(baro_Pa=pressure, inlet_density_kg_m3=(1 + ratio) / state("V", cold),
                           cfm_at_inlet=cfm(state("V", cold)), cfm_at_outlet=cfm(state("V", hot)),
                           scfm_0p075_lb_ft3=mass * (1 + ratio) * 60 / 0.45359237 / 0.075,
                           cfm_rule_1p08=row["heat_output_Btu_h"] / (1.08 * (row["outlet_F"] - inlet))))
    return rows, wanted, None


def moist(rng, engine, count):
    """PsychroLib, CoolProp."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    rows, wanted = [], []
    for _ in range(count):
        row = dict(dry_bulb_C=rng.uniform(-25, 50), rh_pct=rng.uniform(3, 100), pressure_Pa=rng.uniform(65e3, 105e3))
        at, share, pressure = row["dry_bulb_C"], row["rh_pct"] / 100, row["pressure_Pa"]
        ratio = psychrolib.GetHumRatioFromRelHum(at, share, pressure)
        rows.append(row)
        wanted.append(dict(
            humidity_ratio_ashrae_kg_kg=ratio, dew_point_C=dew_point(share * saturation(at + 273.15)) - 273.15,
            wet_bulb_C_ashrae=psychrolib.GetTWetBulbFromRelHum(at, share, pressure),
            density_kg_m3_ashrae=(1 + ratio) / psychrolib.GetMoistAirVolume(at, ratio, pressure),
            enthalpy_kJ_kg_dryair_ashrae=psychrolib.GetMoistAirEnthalpy(at, ratio) / 1e3))
    return rows, wanted, None


def draft(rng, engine, count):
    """Cantera, CoolProp, fluids."""
    fuels, table = random_fuels(rng, engine, 20)
    rows, wanted = [], []
    for number in range(count):
        fuel = fuels[number % len(fuels)]
        row = dict(fuel=fuel.name, excess_air_pct=rng.uniform(0, 300), height_ft=rng.uniform(3, 80),
                   mean_flue_F=rng.uniform(120, 700), outdoor_F=rng.uniform(-20, 95),
                   outdoor_rh_pct=rng.uniform(0, 100), altitude_ft=rng.uniform(0, 9000))
        pressure = ATMOSPHERE_1976(row["altitude_ft"] * FOOT).P
        hot, cold = FAHRENHEIT(row["mean_flue_F"]), FAHRENHEIT(row["outdoor_F"])
        got = burn(fuel, row["excess_air_pct"] / 100, hot, cold, row["outdoor_rh_pct"] / 100, pressure, 0.0)
        vapour = row["outdoor_rh_pct"] / 100 * saturation(cold)
        moles = vapour / (pressure - vapour)
        outdoor = pressure * (AIR_KG + moles * 0.01801528) / (1 + moles) / (GAS_CONSTANT * cold)
        flue = pressure * got["kilograms"] / (GAS_CONSTANT * hot)
        trade = 0.2554 * pressure / 3386.388640341 * row["height_ft"] * (1 / (1.8 * cold) - 1 / (1.8 * hot))
        rows.append(row)
        wanted.append(dict(outdoor_air_density_kg_m3=outdoor, flue_density_kg_m3=flue, trade_draft_inwc_0p2554=trade,
                           theoretical_draft_inwc=9.80665 * row["height_ft"] * FOOT * (outdoor - flue) / INWC))
    return rows, wanted, table


def units(rng, engine, count):
    """pint."""
    registry = pint.UnitRegistry()
    for definition in ("inwc4 = 249.08891 pascal", "mmwc4 = 9.80665 pascal"):
        registry.define(definition)
    pairs = [("inwc4", "psi"), ("psi", "millibar"), ("inHg", "kilopascal"), ("Btu_it/hour", "kilowatt"),
             ("foot**3/hour", "liter/minute"), ("Btu_it/foot**3", "megajoule/meter**3"), ("gallon", "liter"),
             ("inch", "millimeter"), ("pound/foot**3", "kilogram/meter**3"), ("mmwc4", "inwc4"),
             ("degF", "degC"), ("delta_degC", "delta_degF")]
    rows, wanted = [], []
    for number in range(count):
        source, target = pairs[number % len(pairs)]
        value = rng.uniform(0.01, 2000)
        quantity = registry.Quantity(value, source).to(target)
        rows.append(dict(from_unit=source, to_unit=target, value_in=value))
        wanted.append(dict(value_out=float(quantity.magnitude)))
    return rows, wanted, None


def guard(rng, engine, count):
    """scipy."""
    rows, wanted = [], []
    for _ in range(count):
        low, high = (rng.uniform(0, 5), rng.uniform(6, 12))
        row = dict(measured=rng.uniform(-1, 14), u_standard=10 ** rng.uniform(-2, 0.5), limit_low=low,
                   limit_high=high, guard_multiplier_of_U=float(rng.choice([0, 0.82, 1])), k_coverage=2)
        y, u = row["measured"], row["u_standard"]
        band = row["guard_multiplier_of_U"] * 2 * u
        inside, accept = low <= y <= high, low + band <= y <= high - band
        if low + band > high - band:
            guarded = four = "undecidable"
        elif accept:
            guarded, four = "accept", "pass"
        else:
            guarded = "not_accepted"
            near = low - band <= y <= high + band
            four = "conditional_pass" if inside else "conditional_fail" if near else "fail"
        rows.append(row)
        wanted.append(dict(expanded_U=2 * u, verdict_simple="pass" if inside else "fail",
                           prob_conform=scipy.stats.norm.cdf((high - y) / u) - scipy.stats.norm.cdf((low - y) / u),
                           verdict_guarded=guarded, verdict_four_way=four))
    return rows, wanted, None


def air_free(rng, engine, count):
    """numpy: first order from exact slopes."""
    rows, wanted = [], []
    for _ in range(count):
        row = dict(o2_dry_pct=rng.uniform(0, 18), u_o2_pct=rng.uniform(0.02, 0.3), co_dry_ppm=rng.uniform(1, 2000),
                   u_co_ppm=rng.uniform(1, 40), o2_ref_pct=rng.uniform(20.5, 21))
        left, reference = row["o2_ref_pct"] - row["o2_dry_pct"], row["o2_ref_pct"]
        free = row["co_dry_ppm"] * reference / left
        rows.append(row)
        wanted.append(dict(co_air_free_ppm=free, u_first_order_ppm=numpy.hypot(
            free / left * row["u_o2_pct"], reference / left * row["u_co_ppm"])))
    return rows, wanted, None


TABLES = dict(combustion=combustion, saturation=saturation_rows, meter_clocking=clocking, orifice_flow=orifice,
              pipe_drop=pipe, iso5167_plate=plate, temp_rise_airflow=airflow, psychrometrics=moist, draft=draft,
              unit_conversions=units, unc_guardband=guard, unc_co_air_free=air_free)


def compare(table, rows, wanted, found, tolerances):
    """Worst deviation of each column, as a share of what is allowed; prints, returns whether it holds."""
    holds, failed = True, [row["error"] for row in found if row["error"]]
    if failed:
        print(f"{table}: {len(failed)} rows refused, first: {failed[0]}")
        holds = False
    for column in wanted[0]:
        tolerance, worst, at = tolerances.get(column), 0.0, 0
        if tolerance is None:
            continue
        for number, (want, got) in enumerate(zip(wanted, found)):
            if got["error"]:
                continue
            if tolerance.get("same"):
                share = 0.0 if str(want[column]) == got[column] else math.inf
            else:
                allowed = max(tolerance.get("abs", 0), tolerance["rel"] * abs(want[column]))
                off = abs(float(got[column]) - want[column])
                share = 0.0 if off == 0 else off / allowed if allowed else math.inf
            if share > worst:
                worst, at = share, number
        print(f"{table:20} {column:44} {len(rows):6} rows  worst {100 * worst:8.3f} % of allowed")
        if worst > 1:
            print(f"  row {rows[at]}: {found[at][column]} for {wanted[at][column]}")
            holds = False
    return holds


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rows", type=int, default=600)
    parser.add_argument("--table", choices=sorted(TABLES), action="append")
    parser.add_argument("--command", nargs="+", default=[str(ROOT / "target/release/calc_rows")])
    options = parser.parse_args()
    versions = [f"{m.__name__} {m.__version__}" for m in (cantera, CoolProp, fluids, numpy, scipy, pint)]
    print("references:", ", ".join(versions), "| seed", options.seed)
    allowed = json.loads((ROOT / "tests/fixtures/golden/tables.json").read_text(encoding="utf-8"))
    engine, holds = Engine(options.command), True
    for table in options.table or TABLES:
        rng = numpy.random.default_rng([options.seed, len(table)])
        rows, wanted, fuels = TABLES[table](rng, engine, options.rows)
        found = engine.run(table, rows, fuels)
        holds &= compare(table, rows, wanted, found, allowed[table]["outputs"])
    sys.exit(0 if holds else 1)


if __name__ == "__main__":
    main()

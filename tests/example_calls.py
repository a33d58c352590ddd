"""One good call of every public verb, and one good record of every kind that is made of numbers.

`CALLS` holds them by name. What walks over verbs (`test_guarded_numbers`) starts from these.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path

import numpy as np

from panelmech import job, materials, measured, mechanics, study
from panelmech.blade import blade as blade_records
from panelmech.blade import buoyancy, rod, sections
from panelmech.loads import beam, cases, fittings, hydrodynamics, plan, steering
from panelmech.loads import sizing as load_sizing
from panelmech.measured import camber, inspection, land, later, modulus_tests, offsets, pair, readings
from panelmech.mechanics import (
    as_built_bend,
    bend,
    bonded_end,
    forming,
    large_deflection,
    pressure_curve,
    shell,
    shell_large,
    shell_model,
    shell_stresses,
    span_curves,
    strip,
    unequal,
    unequal_bow,
    wedge,
)
from panelmech.shop import (
    blanks,
    conduction,
    cure,
    deepest,
    heat,
    interval,
    nesting,
    outlines,
    paper,
    resin,
    templates,
    volumes,
)
from panelmech.study import (
    bent_and_flat,
    choose,
    ends,
    every_map,
    given,
    inside,
    rare,
    shares,
    sizing,
    sweeps,
    tolerances,
    varying,
)


@dataclass(frozen=True)
class Call:
    """A verb and the arguments of one good call, by name."""

    verb: object
    arguments: dict

    def __call__(self, **changes):
        return self.verb(**{**self.arguments, **changes})


@cache
def demo():
    return job.demo()


@cache
def design():
    return demo().design


@cache
def small_bend():
    return mechanics.solve_bend(0.09, 0.0015, 0.018, 0.0003, 0.002)


@cache
def report():
    return measured.judge_pair(design(), demo().readings, 0.002)


def record(made):
    """The call that makes a record like this one."""
    return Call(type(made), {f.name: getattr(made, f.name) for f in fields(made) if f.init})


def _mechanics():
    lengths = dict(free_length=0.09, sheet_thickness=0.0015, spacer_diameter=0.018, bond_line=0.0003, setback=0.002)
    pair_lengths = {k: v for k, v in lengths.items() if k != "sheet_thickness"} | dict(
        thickness_1=0.0015, thickness_2=0.0016
    )
    sheet = mechanics.framed_sheet(small_bend(), 0.6, 0.012, 20e9, 0.2)
    yield bend.solve_bend, lengths
    yield bend.greatest_spacer, dict(free_length=0.09, bond_line=0.0003, setback=0.002, sheet_thickness=0.0015)
    yield (
        unequal.solve_unequal,
        dict(pair_lengths, stiffness_1=5.0, stiffness_2=5.5, land_slope_1=0.001, land_slope_2=0.002),
    )
    yield (
        unequal_bow.solve_bowed,
        dict(pair_lengths, stiffness_1=5.0, stiffness_2=5.5, land_slope_1=0.001, bow_1=0.1, bow_2=-0.05),
    )
    yield (
        as_built_bend.real_bend,
        dict(lengths, bending_stiffness=5.0, friction=0.1, land_slope=0.001, land_spring=900.0, bow=0.1),
    )
    yield as_built_bend.rod_forces, dict(lengths, bending_stiffness=5.0, friction=0.3)
    yield wedge.solve_wedge, lengths
    yield forming.bending_modulus, dict(modulus=20e9, poisson=0.2, width=0.6, thickness=0.0015)
    yield forming.bending_stiffness, dict(modulus=20e9, thickness=0.0015)
    yield forming.forming_loads, dict(bend=small_bend(), bending_stiffness=5.0)
    yield forming.surface_strain, dict(bend=small_bend(), arclength=np.array([0.0, 0.01]))
    yield shell_model.framed_sheet, dict(bend=small_bend(), span=0.6, frame_width=0.012, modulus=20e9, poisson=0.2)
    yield (
        shell_model.framed_sheet,
        dict(
            bend=small_bend(),
            span=0.6,
            frame_width=0.012,
            modulus=20e9,
            poisson=0.2,
            span_modulus=18e9,
            shear_modulus=4e9,
        ),
    )
    yield shell_model.stiffness_ratios, dict(modulus=20e9, poisson=0.2, span_modulus=18e9, shear_modulus=4e9)
    yield shell_model.even_pressure, dict(pressure=1000.0)
    yield shell_model.hydrostatic_along_chord, dict(pressure=1000.0)
    yield shell_model.hydrostatic_along_span, dict(pressure=1000.0)
    yield shell_model.point_force, dict(force=10.0, x=0.02, y=0.1, footprint=0.01)
    yield shell_model.free_span, dict(span=0.6, frame_width=0.012)
    yield shell.press, dict(sheet=sheet, load=shell_model.even_pressure(1000.0), degrees=(8, 8))
    yield shell.buckle, dict(sheet=sheet, degrees=(8, 8))
    yield shell_stresses.MembraneForces, dict(along_chord=-1.0, along_span=-900.0, shear=200.0)
    forces = shell_stresses.MembraneForces(along_span=-900.0, shear=200.0)
    yield shell_stresses.buckle_under, dict(sheet=sheet, forces=forces, degrees=(8, 8))
    formed = large_deflection.forming_force(small_bend(), 5.0)
    yield large_deflection.forming_force, dict(bend=small_bend(), bending_stiffness=5.0)
    yield (
        large_deflection.press_large,
        dict(sheet=sheet, load=shell_model.even_pressure(1000.0), degrees=(8, 8), formed=formed),
    )
    yield large_deflection.load_curve, dict(sheet=sheet, load=shell_model.even_pressure(1000.0), degrees=(8, 8))
    yield pressure_curve.press_both_ways, dict(sheet=sheet, most=1000.0, working=500.0)
    yield strip.even_strip_pressure, dict(pressure=1000.0)
    yield strip.triangular_pressure, dict(pressure=1000.0)
    yield strip.point_load, dict(force=10.0, arclength=0.02)
    yield strip.strip_response, dict(
        bend=small_bend(), bending_stiffness=5.0, load=strip.even_strip_pressure(1000.0), nodes=40, stations=11,
        stretch_share=0.9,
    )  # fmt: skip
    yield strip.flat_strip_response, dict(
        length=0.09, thickness=0.0015, bending_stiffness=5.0, load=strip.even_strip_pressure(1000.0), nodes=40,
        stations=11,
    )  # fmt: skip
    yield span_curves.checked_stations, dict(position=np.array([0.0, 0.1, 0.2]))
    yield span_curves.stiffness_curve, dict(position=np.array([0.0, 0.1, 0.2]), stiffness=np.array([2.0, 1.5, 1.0]))


def _study():
    d = design()
    swept = sweeps.sweep(d, local=False, spacer_diameter=[0.016, 0.018], sheet_thickness=[0.0015, 0.002])
    yield (
        sizing.size,
        dict(design=d, field="spacer_diameter", output="permanent_strain_reserve", target=1.0, low=0.01, high=0.03),
    )
    yield inside.Rib, dict(position=0.3, width=0.012)
    yield inside.Zone, dict(start=0.02, end=0.06)
    yield sweeps.sweep, dict(design=d, local=False, spacer_diameter=[0.016, 0.018], sheet_thickness=[0.0015, 0.002])
    yield tolerances.scatter, dict(design=d, count=200, seed=3, rules=(), alike=0.5, camber=1e-3)
    yield varying.varying, dict(design=d, tolerances=tolerances.default_tolerances(d))
    yield rare.subset_share, dict(limit=lambda scores: 2.0 - scores[0], inputs=2, seed=3, doubt=0.1, runs=3, parts=100)
    yield shares.interval, dict(count=3, of=200, sure=0.9)
    yield tolerances.variance_share, dict(x=np.arange(200.0), y=np.arange(200.0) ** 2)
    yield tolerances.elasticities, dict(design=d, names=("sheet_thickness",), step=1e-4)
    yield every_map.check_map, dict(swept=swept, most=30)
    yield bent_and_flat.sheet_curves, dict(design=d, pressure=500.0)
    yield given.with_given, dict(design=d, chord=0.16)
    yield given.with_given, dict(design=d, outer_thickness=0.026)
    choices = study.combine(d, [d.sheet], [d.spacer])
    yield choose.rank, dict(choices=choices, by="mass", count=1)


def _measured():
    d = design()
    width, thick = readings.Reading("width", (0.03,), 1e-4), readings.Reading("thickness", (0.0015, 0.00152), 1e-5)
    three = dict(
        force=readings.Reading("force", (4.0,), 0.1), deflection=readings.Reading("deflection", (0.002,), 1e-4),
        span=readings.Reading("span", (0.08,), 1e-4), width=width, thickness=thick,
    )  # fmt: skip
    yield modulus_tests.three_point, dict(three, support_radius=0.005, wide_poisson=0.2)
    yield modulus_tests.linear_three_point, dict(force=4.0, deflection=0.002, span=0.08, width=0.03, thickness=0.0015)
    yield modulus_tests.droop, dict(
        drop=readings.Reading("drop", (0.03,), 1e-3), overhang=readings.Reading("overhang", (0.4,), 1e-3),
        thickness=thick, density=readings.Reading("density", (1800.0,)), wide_poisson=0.2,
    )  # fmt: skip
    yield (
        modulus_tests.linear_droop,
        dict(drop=0.03, overhang=0.4, thickness=0.0015, density=1800.0, mass=0.01, width=0.03),
    )
    yield modulus_tests.cantilever_droop, dict(own_weight=1.0, end_force=0.5)
    yield modulus_tests.opened_pair, dict(
        force=readings.Reading("force", (400.0,), 1.0), span=readings.Reading("span", (0.6,), 1e-3),
        free_length=readings.Reading("free length", (0.09,), 1e-4), thickness=thick,
        spacer_diameter=readings.Reading("spacer", (0.018,), 1e-4), bond_line=0.0003, setback=0.002,
    )  # fmt: skip
    yield readings.Reading, dict(name="width", values=(0.03, 0.031), resolution=1e-4)
    yield readings.Row, dict(sheet="A", measured="thickness", value=0.0015, place=0.1, resolution=1e-5)
    yield inspection.SheetReadings, dict(
        name="A", thickness_marked=(0.0015,) * 3, thickness_far=(0.00151,) * 3, bow_up=0.001, bow_down=-0.001,
        twist=0.0, base=0.1, resolution=1e-5,
    )  # fmt: skip
    sheets = [inspection.SheetReadings(n, (0.0015,) * 3, (0.00151,) * 3, 0.001, -0.001, 0.0, 0.1) for n in "AB"]
    yield inspection.inspect_pair, dict(
        first=sheets[0], second=sheets[1], design=d, tolerance=0.002, modulus_1=20e9, modulus_2=20.1e9,
        modulus_uncertainty=0.01,
    )  # fmt: skip
    yield bonded_end.constrained_modulus, dict(modulus=2e9, poisson=0.35)
    yield (
        bonded_end.foundation_stiffness,
        dict(adhesive_modulus=2e9, bond_line=0.0003, sheet_thickness=0.0015, across_modulus=8e9),
    )
    yield bonded_end.land_compliance, dict(stiffness=5.0, foundation=1e13, length=0.03)
    yield ends.land_spring, dict(design=d, adhesive_poisson=0.35, across_modulus=8e9)
    yield land.land_sensitivity, dict(design=d, turn=0.01, springs={"soft": 900.0})
    yield land.first_order, dict(contact_angle=0.1, turn=0.01)
    yield (
        camber.camber_map,
        dict(design=d, thickness_differences=np.array([-0.05, 0.05]), modulus_differences=np.array([-0.1, 0.1])),
    )
    yield camber.first_order_offset, dict(design=d, stiffness_ratio=1.1)
    yield camber.tolerance_line, dict(design=d, thickness_differences=np.array([-0.05, 0.05]), tolerance=0.002)
    yield (
        offsets.Offsets,
        dict(
            x=np.array([0.01, 0.05]),
            offset=np.array([0.003, 0.008]),
            face=np.array(["upper", "upper"]),
            uncertainty=1e-4,
        ),
    )
    yield offsets.predict_offsets, dict(
        design=d, x=np.array([0.01, 0.05]), face=np.array(["upper", "lower"]), land_slope=0.001, stiffness_ratio=1.1,
        thickness_1=d.sheet_thickness, thickness_2=d.sheet_thickness,
    )  # fmt: skip
    yield pair.judge_pair, dict(design=d, readings=demo().readings, tolerance=0.002)
    yield pair.as_clamped, dict(report=report(), land_slope=0.002, land_spring=900.0)
    clamp = pair.as_clamped(report(), 0.002, 900.0)
    yield pair.slope_sweep, dict(report=report(), clamp=clamp, slopes=np.array([-0.01, 0.01]))
    yield pair.camber_outlook, dict(report=report(), points=5)
    yield later.relax, dict(bend=small_bend(), loads=forming.forming_loads(small_bend(), 5.0), fractions=(0.5, 0.8))
    yield later.after_a_while, dict(report=report(), fraction=0.6)
    yield later.log_report, dict(design=d, entries=[later.LogEntry(3600.0, 0.022)])
    yield later.LogEntry, dict(time=3600.0, thickness=0.022)


def _blade():
    b = demo().blade
    straight = dict(free_length=0.2, land_length=(0.03, 0.02), spacer_diameter=(0.02, 0.018))
    yield blade_records.Blade, dict(design=design(), **straight)
    yield blade_records.Table, dict(positions=(0.0, 0.5), values=(0.02, 0.018))
    yield (
        buoyancy.hydrostatics,
        dict(blade=b, water_density=1000.0, waterline=0.1, fill_density=30.0, bond_density=1100.0),
    )
    yield buoyancy.ballast, dict(hydro=buoyancy.hydrostatics(b), wanted=0.5, lead_density=11340.0, foam_density=30.0)
    yield buoyancy.Added, dict(name="handle", mass=0.3, volume=1e-4, position=0.05, x=0.02)
    yield rod.rod_walls, dict(blade=b, walls=np.array([0.0015, 0.002]), stations=11)
    yield sections.blade_sections, dict(blade=b, stations=5)
    yield sections.blade_outline, dict(sections=sections.blade_sections(b, 5), points=7)
    yield sections.span_rule, dict(blade=b, places=(0.1,), order=4)


def _loads():
    d = design()
    z = span_curves.with_step(np.linspace(0.0, 1.0, 5), 0.25)
    held = beam.Held((0.0, 0.3))
    part = plan.LoadPlan((cases.PointPush("push", 50.0, 0.5),), held, local=False, stations=7)
    planform = cases.Planform(z, np.full(len(z), 0.2), np.full(len(z), 0.15), 0.1)
    yield beam.PointLoad, dict(position=0.3, force=10.0, torque=1.0)
    yield beam.Held, dict(bearings=(0.0, 0.3), torque_at=0.0)
    yield beam.span_diagrams, dict(
        position=z, force_per_length=np.full(len(z), 100.0), torque_per_length=np.full(len(z), 1.0),
        chord_stiffness=50.0, torsion_stiffness=20.0, axis_offset=0.01,
    )  # fmt: skip
    yield cases.Planform, dict(position=z, chord=np.full(len(z), 0.2), leading_edge_x=np.full(len(z), 0.15), axis_x=0.1)
    side = dict(
        name="side", speed=3.0, density=1025.0, angle=0.05, end_plate=1.5, tip=0.8, immersed_from=0.25, centre=0.3,
        skin_share=0.8,
    )  # fmt: skip
    yield cases.SideForce, side
    yield _case(cases.SideForce, planform), side
    yield cases.PointPush, dict(name="push", force=50.0, place=0.5, chord_place=0.1)
    yield _case(cases.PointPush, planform), dict(name="push", force=50.0, place=0.5, chord_place=0.1)
    yield cases.SealedAir, dict(name="air", sealed_at=293.15, heated_to=323.15, outside=101325.0)
    yield _case(cases.SealedAir, planform), dict(name="air", sealed_at=293.15, heated_to=323.15, outside=101325.0)
    yield cases.WaterHead, dict(name="water", depth=1.0, density=1025.0)
    yield _case(cases.WaterHead, planform), dict(name="water", depth=1.0, density=1025.0)
    yield cases.Severe, dict(name="severe", statement=cases.PointPush("push", 50.0, 0.5), factor=1.5, basis="user")
    yield cases.sealed_pressure, dict(sealed_at=293.15, heated_to=323.15, outside=101325.0)
    yield cases.water_pressure, dict(density=1025.0, depth=1.0)
    yield fittings.bearing_stress, dict(force=500.0, diameter=0.006, thickness=0.01)
    yield fittings.bolt_shear_stress, dict(force=500.0, diameter=0.006, planes=2)
    yield fittings.tear_out_stress, dict(force=500.0, diameter=0.006, thickness=0.01, edge_distance=0.02)
    yield fittings.net_section_stress, dict(force=500.0, width=0.05, diameter=0.006, thickness=0.01, holes=2)
    yield fittings.drilled_moment, dict(i_chord=1e-8, diameter=0.006, thickness=0.0015, distance=0.01)
    yield fittings.stud_length, dict(force=500.0, diameter=0.006, factor=2.0, shear_strength=5.5e6)
    yield fittings.stud_shear_stress, dict(force=500.0, diameter=0.006, length=0.02)
    yield (
        fittings.bolt_group_force,
        dict(force=np.array([100.0, 50.0]), torque=5.0, places=np.array([[0.0, 0.0], [0.05, 0.0]])),
    )
    yield fittings.BearingBolt, dict(
        name="bolt", bearing=0, diameter=0.006, length=0.02, edge_distance=0.03, planes=1, pull=100.0,
        bolt_shear=plan.Own(2e8), bearing_strength=plan.Own(1e8), shear_strength=plan.Own(5e7),
    )  # fmt: skip
    yield fittings.BondedStud, dict(name="stud", pull=100.0, diameter=0.006, length=0.03)
    yield hydrodynamics.effective_aspect_ratio, dict(span=1.0, area=0.2, end_plate=1.5)
    yield hydrodynamics.lift_slope, dict(aspect_ratio=4.0)
    yield hydrodynamics.stall_angle, dict(aspect_ratio=2.0)
    yield hydrodynamics.crossflow_coefficient, dict(taper=0.6)
    yield hydrodynamics.lift, dict(angle=0.1, aspect_ratio=4.0, crossflow=0.8)
    yield hydrodynamics.span_share, dict(position=z, chord=np.full(len(z), 0.2), start=0.0)
    yield plan.Factor, dict(value=1.5, basis="user", source="x")
    yield plan.Own, dict(value=2e8)
    yield plan.Stock, dict(length=0.4, diameter=0.02, wall=0.002, modulus=70e9, poisson=0.33, strength=2e8)
    yield plan.LoadPlan, dict(cases=part.cases, held=held, axis_x=0.1, stations=7, local=False)
    yield (
        load_sizing.size_for_load,
        dict(part=d, plan=part, output=_load_output(), target=1.0, field="spacer_diameter", low=0.014, high=0.024),
    )
    yield load_sizing.load_sweep, dict(part=d, plan=part, outputs=(_load_output(),), spacer_diameter=[0.018, 0.02])
    yield steering.steering_bias, dict(
        design=d, pair=unequal.solve_unequal(0.09, 0.0015, 0.0016, 5.0, 5.5, 0.018), speed=3.0, density=1025.0,
        aspect_factor=1.5,
    )  # fmt: skip
    yield (
        steering.balancing_helm,
        dict(side_force=10.0, speed=3.0, rudder_area=0.1, rudder_aspect_ratio=3.0, lever_ratio=1.0, density=1025.0),
    )


def _load_output():
    return next(name for name in load_sizing.LOAD_OUTPUTS if name.endswith("_reserve"))


def _case(kind, planform):
    def case(**arguments):
        return cases.load_case(kind(**arguments), planform)

    return case


def _shop():
    d = design()
    bond, pour = demo().shop.bond, demo().shop.pour
    bent = d.bend()
    heated = heat.Pour(cure.ILLUSTRATIVE, 293.15)
    yield cure.Kinetics, record(cure.ILLUSTRATIVE).arguments
    yield cure.ILLUSTRATIVE.time_to, dict(cure=0.5, temperature=300.0)
    yield cure.ILLUSTRATIVE.cure_after, dict(time=3600.0, temperature=300.0)
    yield cure.ILLUSTRATIVE.paced, dict(time=3600.0, temperature=300.0, cure=0.5)
    yield (
        resin.filled_mix,
        dict(volume=1e-4, resin_density=1100.0, filler="colloidal silica", consistency=next(iter(resin.CONSISTENCIES))),
    )
    yield resin.Filler, record(resin.FILLERS["colloidal silica"]).arguments
    yield resin.shift_time, dict(time=1800.0, rated=298.15, temperature=293.15, halvings=(10.0, 15.0))
    yield resin.times_at, dict(system=bond, temperature=293.15, halvings=(10.0, 15.0))
    yield resin.shop_notes, dict(system=bond, temperature=293.15)
    yield resin.mix_batch, dict(system=pour, volume=1e-4, waste=0.15, resolution=0.001, least=0.01, most=0.5)
    yield resin.least_on_scale, dict(system=pour, resolution=0.001)
    yield resin.check_weighed, dict(system=pour, resin=0.1, hardener=0.03, close_share=0.25)
    yield resin.split_batch, dict(system=pour, mass=0.5, pot_volume=2e-4, fill=0.5, largest=0.15)
    yield conduction.Layer, dict(thickness=0.002, conductivity=0.3, density=1800.0, heat_capacity=1000.0)
    yield conduction.Face, dict(coefficient=5.0)
    yield heat.Pour, dict(kinetics=cure.ILLUSTRATIVE, shop_temperature=293.15, start_temperature=295.15, side_loss=10.0)
    yield heat.loss_between_sheets, dict(gap=0.02, sheet_thickness=0.0015, sheet_conductivity=0.3, coefficient=5.0)
    yield heat.older_lift, dict(kinetics=cure.ILLUSTRATIVE, thickness=0.02, coefficient=5.0)
    yield heat.pour_heat, dict(pour=heated, depth=0.01, until=3600.0, cells=11, tolerance=1e-4)
    yield heat.quick_peaks, dict(pour=heated, depths=[0.01], cells=11, until=3600.0)
    yield heat.front_thickness, dict(pour=heated, rise=5.0)
    yield (
        deepest.lift_depth,
        dict(pour=heated, limit=333.15, shallowest=0.005, deepest=0.03, stated_depth=0.01, cells=121),
    )
    yield (
        interval.lift_interval,
        dict(heat=heat.pour_heat(heated, 0.01, cells=11), tack_until=1800.0, cooled_within=5.0),
    )
    cut = blanks.blanks(d)
    yield blanks.blanks, dict(part=d, trim_front=0.001, trim_back=0.002, trim_ends=0.003)
    yield nesting.nest, dict(parts=cut, stock_length=2.4, stock_width=1.2, kerf=0.003, edge_trim=0.01)
    yield outlines.inner, dict(bend=bent, clearance=0.0005)
    yield outlines.hollow, dict(bend=bent, clearance=0.0005)
    yield outlines.front_pieces, dict(bend=bent, clearance=0.0005)
    yield outlines.nose, dict(bend=bent, rise=0.001)
    yield outlines.outer_outline, dict(bend=bent, land_length=0.03, rise=0.001)
    yield outlines.bead_area, dict(bend=bent, reach=0.005)
    yield outlines.round_bead_area, dict(bend=bent, radius=0.003)
    yield outlines.fillet_area, dict(radius=0.003, angle=1.5)
    yield outlines.edge_area, dict(bend=bent, nose_rise=0.001)
    yield (
        templates.templates,
        dict(part=d, clearance=0.0005, nose_rise=0.001, edge_thickness=0.001, bevel_length=0.01, margin=0.008),
    )
    yield (
        volumes.volumes,
        dict(
            part=d, dam_inset=0.001, squeeze_out=0.3, nose_rise=0.001, bead_length=0.01, fillet_radius=0.002, waste=0.15
        ),
    )
    yield paper.lay_out, dict(template=templates.templates(d)[0], room_below=0.01)


def _records():
    """Records made of numbers: one of each kind that a job holds, and of stock."""
    one = demo()
    for made in (one.design, one, one.shop, one.design.sheet, one.design.adhesive, one.design.spacer, one.design.resin):
        yield type(made), record(made).arguments
    yield type(one.shop.pour), record(one.shop.pour).arguments
    yield tolerances.Tolerance, record(tolerances.default_tolerances(one.design)[0]).arguments
    yield shell_large.EdgeGive, record(shell_large.EdgeGive(1e6, 1e6, 1e6, 1e6)).arguments
    yield shell_model.FramedSheet, record(mechanics.framed_sheet(small_bend(), 0.6, 0.012, 20e9, 0.2)).arguments
    yield strip.StripLoad, record(strip.even_strip_pressure(1000.0)).arguments


def _history():
    """The history of a job that was started and not changed."""
    with tempfile.TemporaryDirectory() as folder:
        job.start_job(Path(folder) / "one", demo(), "hand")
        return job.read_history(Path(folder) / "one")


@cache
def calls() -> dict:
    """{name: Call} of all of them; a verb with several calls has a number behind the name."""
    found = {}
    water = [(materials.water_density, dict(temperature=15.0, salinity=35.0))]
    history = [(job.state_after, dict(history=_history(), number=1))]
    rooms = (water, history, _mechanics(), _study(), _measured(), _blade(), _loads(), _shop(), _records())
    for verb, arguments in (row for room in rooms for row in room):
        owner = getattr(verb, "__qualname__", "").replace("_case.<locals>.case", "load_case")
        name, number = owner, 2
        while name in found:
            name, number = f"{owner} ({number})", number + 1
        found[name] = Call(verb, arguments)
    return found

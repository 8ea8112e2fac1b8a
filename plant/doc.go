// Package plant models one gravity-loaded servo axis: shaft, load, guide, holding brake,
// motor, drive and encoder, and a second shaft coupled to it.
//
// The package has no clock, no goroutine and no random source of its own: every
// call to [Plant.Observe] and [Plant.Step] advances it by one tick.
//
// # Equations
//
// Motor-shaft coordinates, SI units; positive raises the load. The source of each equation
// is given at the function that implements it.
//
//	shaft        J dω/dt = τ_m + τ_g + τ_f + τ_b − τ_c + τ_stop + τ_support,  dθ/dt = ω
//	             J kg·m² inertia, ω rad/s speed, θ rad angle, τ N·m torques of
//	             motor, gravity, guide, brake, coupling, hard stop, support (shaft.go)
//	load         τ_g = (−(m sin α − m_c) g + F(s)) p/(2π n),
//	             J_load = (m + m_c)(p/(2π n))² + J_e/n²
//	             m kg own mass and payload, m_c kg counterbalance by mass, α incline,
//	             g m/s², p m feed constant, n gear ratio, J_e kg·m² further inertia
//	             at the slow side of the gear (load.go, derived.go)
//	arm          τ_g = (−m g cos(φ) + F(s)) r/n,  φ = φ₀ + θ/n within a turn to either
//	             side of the horizontal,  J_load = m r²/n² + J_e/n²  (load.go)
//	force        F(s) = F₀ + c (s − s₀), N, of a counterbalance by spring or gas, with
//	             s m travel; no inertia; valid where it is not negative (load.go)
//	test torque  factor times the greatest |τ_g| between the stops with the least or
//	             the most payload, whatever is on the axis now (load.go, derived.go)
//	efficiency   the loss is friction of the guide: |τ_g| (1/η − 1) against the load,
//	             |τ_g| (1 − η_b) with it; without η_b the same, η_b = 2 − 1/η
//	             (derived.go, slider.go between)
//	motor        τ_m = k_t i_rms cos(p Δθ),  i_rms = i_amp/√2
//	             p pole pairs, Δθ rad error of the encoder from which the drive takes
//	             the field angle, 0 with a commutation encoder (commutation.go, derived.go)
//	current      i_meas = g i + i_0,  di/dt = (i_cmd − i_meas)/τ_i,  |i| ≤ i_peak
//	             g gain and i_0 A offset of the transducer, which is inside the loop;
//	             i_cmd A within the drive's limit; exact over a tick (current.go)
//	i²t          dϑ/dt = ((i_meas/i_c)² − ϑ)/τ_th, i_cmd within i_c from ϑ = 1 on
//	             ϑ thermal load, i_c A continuous current (thermal.go)
//	friction     τ = −clamp(σ₀ z + σ₁ v, ±C),  dz/dt = (−τ − σ₀ z)/σ₁, of brake and
//	             guide alike: a slider of capacity C in series with a spring σ₀ and
//	             a damper σ₁ in parallel (slider.go)
//	capacity     C = e κ f(v) + a T_s,  f(v) = T_k + (T_s − T_k) exp(−(v/v_s)²)  (brake.go)
//	engagement   e rises after t11 and is 0.9 at t11 + t12, falls after t21 and is 0.1
//	             at t2; both delays are proportional to the air gap (armature.go)
//	coil         opens and holds within its voltages; F = 1 − u² against springs,
//	             F = (m − u)² of a permanent magnet (coil.go)
//	creep        v_creep = v₀ (|τ|/C)ⁿ of a closed brake below breakaway (creep.go)
//	rest         da/dφ = −a/φ_a of the bond of a disc, dg/dt = (g_r − g)/T of a glaze
//	             that returns (disc.go, creep.go)
//	disc         κ = κ_condition κ_heat κ_gap (1 − glaze)  (disc.go)
//	heat         C_th dT/dt = |τ_b v_slip| − (T − T_amb)/R_th  (disc.go)
//	wear, glaze  dh/dt = k |τ_b v_slip|,  dg/dt = −g |τ_b v_slip|/W  (disc.go)
//	second brake the same element on the same shaft, its values over the gear ratio if it
//	             is behind the transmission; a severed load keeps it (second_brake.go)
//	coupling     τ_c = k_c dz(θ − θ₂, ± gap/2) + d_c (ω − ω₂), never pulling (partner.go)
//	hard stop    one-sided spring and damper, never pulling (slider.go, unilateral)
//	support      the same at a place on the way, pushing up (support.go)
//	encoder      scale, drift, normal noise, rounded to increments, one turn (encoder.go)
//
// # Method
//
// One implicit midpoint step per tick: the mean speed of the tick solves a balance that is
// monotone and piecewise linear, friction by projection, so that the closed brake never
// releases energy that it has not stored. Springs act at the middle of the tick. Without
// noise, sag, stopping distance and time, slip and slip work at 250 µs agree within 1e-3 with an
// independent solver (solver_test.go, testdata/solver) and with a hundredth of the tick
// ([Accuracy]). The promise does not hold for the instant of a kink: a breakaway, a contact or
// the end of a slip lies within a tick, which has one torque for all of it, so that speed and
// torque of that tick can be off by half of their change over it; and the speed after the
// impact on a hard stop of natural frequency ω₀ by (ω₀ h)²/8 of itself. Nor does it hold, by up to
// 6e-3, for a brake whose torque rises within a tick, or whose Stribeck curve falls nearly as fast
// with the slip speed as the damper of the disc grows, 0.86 (T_s − T_k)/v_s close to σ₁, where
// the slip then ends in a snap.
//
// A run begins at rest or, with a start speed, in steady motion: guide and dragging brake slide
// at the speed of the shaft, and the current carries load and friction (plant.go, shaft.go).
//
// # Limits of validity
//
// Not modelled: temperature gradients within the friction disc, tilting and run-out of the
// rotor, uneven wear, how a disc bonds to its plates in a long rest, magnetic detail of coil and
// motor (saturation, cogging, temperature of the magnets), voltage limits and field
// weakening, the current of a wrong field angle in line with the field, trips of the drive on
// overcurrent, overspeed or a position that lags, a loss of the transmission that follows its
// load from place to place, the temperature of a gas spring, elasticity of screw, belt and
// structure (one mass per axis), backlash of the transmission, delays of brake feedback and
// safe signals inside their devices, and everything that a rig's document leaves out. Of a spring with a natural frequency above
// about a tenth of the tick rate the equilibrium is resolved, the oscillation is not.
package plant

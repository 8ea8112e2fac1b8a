package plant

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// plate is one side of a clutch: its inertia in kg·m², its speed in rad/s and the torque
// from outside in N·m. A side that is held, or led at its speed, has an infinite inertia.
type plate struct{ inertia, speed, torque float64 }

// plateClutch joins two plates by a slider.
type plateClutch struct {
	slider           slider
	a, b             plate
	capacity         float64
	deflection, slip float64
	work             float64 // that the joint took, in J
	heat             float64 // of it by slip
}

// step solves the relative motion and gives each side its share of the change:
//
//	2 (w − Δω)/h = τ_a/I_a − τ_b/I_b − τ(w) (1/I_a + 1/I_b),  Δω = ω_a − ω_b
func (c *plateClutch) step(h float64) {
	ease := 1/c.a.inertia + 1/c.b.inertia
	alone := c.a.torque/c.a.inertia - c.b.torque/c.b.inertia
	apart := c.a.speed - c.b.speed
	w, torque := joined(&c.slider, c.deflection, h, c.capacity, (2*apart/h+alone)/ease, 2/h/ease)
	c.deflection, c.slip = c.slider.update(c.deflection, w, h, torque, c.capacity)
	c.a.speed += h * (c.a.torque - torque) / c.a.inertia
	c.b.speed += h * (c.b.torque + torque) / c.b.inertia
	c.work += torque * w * h
	c.heat += math.Abs(torque*c.slip) * h
}

// closedPlates is how long a clutch slips, what it takes in all and what of it is slip.
type closedPlates struct{ time, work, heat float64 }

// closePlates runs a clutch until both sides turn alike and the ringing of its friction disc, with a
// wind-up of 0.1° and a damping of 0.3, has died out.
func closePlates(c *plateClutch) closedPlates {
	stiffness := c.capacity / rad(0.1)
	ease := 1/c.a.inertia + 1/c.b.inertia
	c.slider = slider{stiffness: stiffness, damping: 2 * 0.3 * math.Sqrt(stiffness/ease)}
	time, n := 0.0, 0
	for ; time == 0; n++ {
		before := c.a.speed - c.b.speed
		c.step(sliderTick)
		if after := c.a.speed - c.b.speed; before*after <= 0 {
			time = (float64(n) + before/(before-after)) * sliderTick
		}
	}
	for range 8000 { // 2 s
		c.step(sliderTick)
	}
	return closedPlates{time: time, work: c.work, heat: c.heat}
}

// Two plates are brought to one speed by a clutch rated 10 kW at 2000/min: 20 kg with a
// radius of gyration of 75 mm at 2000/min, 35 kg with 125 mm at rest. Source: Bhandari,
// Design of Machine Elements, ch. 11, energy equation of a clutch (from memory):
//
//	T = P/ω                            = 10000/209.439510       = 47.7465 N·m
//	I₁ = m k² = 20·0.075²  = 0.1125 kg·m²,  I₂ = 35·0.125² = 0.546875 kg·m²
//	t = I₁ I₂ Δω/(T (I₁ + I₂))         = 0.0933057·209.439510/T = 0.409285 s
//	E = I₁ I₂ Δω²/(2 (I₁ + I₂))        = 0.0933057·43864.9/2    = 2046.42 J
//
// What the joint takes in all is the loss of kinetic energy to half a unit of the last
// digit, as the midpoint rule keeps the account. Time and slip are held to the 1e-3 that
// the element must hold at 250 µs. The two then turn at I₁ω/(I₁ + I₂), to the rounding of
// 10000 ticks: momentum.
func TestClutchOfBhandari(t *testing.T) {
	omega := radS(2000)
	torque := 10e3 / omega
	require.InDelta(t, 47.7465, torque, 5e-5)
	c := plateClutch{capacity: torque, a: plate{inertia: 20 * 0.075 * 0.075, speed: omega}, b: plate{inertia: 35 * 0.125 * 0.125}}
	got := closePlates(&c)
	require.InEpsilon(t, 0.409285, got.time, 1e-3)
	require.InEpsilon(t, 2046.42, got.heat, 1e-3)
	require.InDelta(t, 2046.42, got.work, 5e-3)
	together := 0.1125 * omega / (0.1125 + 0.546875)
	require.InEpsilon(t, together, c.a.speed, 1e-11)
	require.InEpsilon(t, together, c.b.speed, 1e-11)
}

// Slip under load. With a side of inertia I_a driven by τ_a and one of I_b loaded by τ_b,
// both constant, the clutch slips until T has eaten up Δω:
//
//	t = Δω/((T − τ_a)/I_a + (T + τ_b)/I_b),  W = T Δω t/2
//
// with τ_b below zero for a load that brakes. With one side held or led that is
// t = J Δω/(T ± τ) and W = ½JΔω² T/(T ± τ): stopping and starting under load. Source:
// VDI 2241-1, friction work of one operation (from memory); the formula above for two free
// sides is two lines of Newton's law. In the rows ½JΔω² = ½·0.5·100² = 2500 J:
//
//	held, load drives by 10 of 25 N·m:   t = 50/15 = 3.33333 s, W = 2500·25/15 = 4166.67 J
//	held, load brakes by 10:             t = 50/35 = 1.42857 s, W = 2500·25/35 = 1785.71 J
//	held, load drives by 24:             t = 50/1  = 50 s,      W = 2500·25/1  = 62500 J
//	led at 100 rad/s, load brakes by 10: as the first; led, load drives by 10: as the second
//	free, 0.5 driven by 5, 1.5 braked by 10: t = 100/(20/0.5 + 15/1.5) = 2 s, W = 2500 J
//
// Held to the 1e-3 that the element must hold at 250 µs.
func TestSlipUnderLoad(t *testing.T) {
	held, turns := plate{inertia: math.Inf(1)}, plate{inertia: math.Inf(1), speed: 100}
	for _, c := range []struct {
		name       string
		a, b       plate
		time, heat float64
	}{
		{"HeldNoLoad", plate{0.5, 100, 0}, held, 2, 2500},
		{"HeldLoadDrives", plate{0.5, 100, 10}, held, 3.33333, 4166.67},
		{"HeldLoadBrakes", plate{0.5, 100, -10}, held, 1.42857, 1785.71},
		{"HeldLoadDrivesHard", plate{0.5, 100, 24}, held, 50, 62500},
		{"LedLoadBrakes", turns, plate{0.5, 0, -10}, 3.33333, 4166.67},
		{"LedLoadDrives", turns, plate{0.5, 0, 10}, 1.42857, 1785.71},
		{"Backwards", plate{0.5, -100, -10}, held, 3.33333, 4166.67},
		{"Free", plate{0.5, 100, 5}, plate{1.5, 0, -10}, 2, 2500},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := closePlates(&plateClutch{capacity: 25, a: c.a, b: c.b})
			require.InEpsilon(t, c.time, got.time, 1e-3)
			require.InEpsilon(t, c.heat, got.heat, 1e-3)
		})
	}
}
